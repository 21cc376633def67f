// The fields, and the settings that are typed there.

import { $, make } from './dom.js';
import { change, top } from './leaves.js';

const wait = 250; // ms after the last letter that is typed

/** fields listens to the form; ground is called with boxes above the centre line while the ground line is moved. */
export function fields(ground) {
  let typed = 0;
  $('form').addEventListener('input', (e) => {
    clearTimeout(typed);
    if (e.target.id === 'ground-at') { grounds(); ground(Number($('ground-at').value)); }
    typed = setTimeout(() => change(asTyped()), e.target.tagName === 'INPUT' ? wait : 0);
  });
  $('form').addEventListener('submit', (e) => { e.preventDefault(); clearTimeout(typed); change(asTyped()); });
  $('boxes').addEventListener('change', () => change({ boxes: $('boxes').value.trim() }));
}

function asTyped() {
  const out = {};
  for (const field of $('form').elements) {
    if (field.name && field.name !== 'ground-how' && field.name !== 'trace') out[field.name] = field.value.trim();
  }
  const how = $('form').elements['ground-how'].value;
  out.ground = how === 'at' ? $('ground-at').value : how;
  const trace = $('form').querySelector('input[name=trace]:checked');
  if (trace && trace.value !== (top.settings.trace || chosenOf(top.answer))) out.trace = trace.value;
  grounds();
  return out;
}

function grounds() {
  const at = $('form').elements['ground-how'].value === 'at';
  $('ground-at').disabled = !at;
  $('ground-says').textContent = at ? `${Number($('ground-at').value).toFixed(2)} boxes above the centre` : '';
}

/** fill puts the settings of the leaf on top into the fields. */
export function fill() {
  for (const field of $('form').elements) {
    if (!field.name || field.name === 'ground-how' || field.name === 'trace') continue;
    const text = top.settings[field.name] || '';
    if (field.value.trim() !== text) field.value = text; // who types there keeps the cursor
  }
  const ground = top.settings.ground || '', said = ['', 'bottom', 'centre'].includes(ground);
  $('form').elements['ground-how'].value = said ? ground : 'at';
  if (!said) $('ground-at').value = ground;
  $('boxes').value = top.settings.boxes || '';
  grounds();
}

/** chosenOf gives the name of the trace that an answer is of. */
export const chosenOf = (got) => got?.document.traces?.find((t) => t.chosen)?.name;

/** showFields puts what an answer says into the fields: the traces there are, and where ground lies. */
export function showFields(d) {
  const reach = (d.graticule?.rows || 8) / 2, ground = d.settings?.ground_box;
  $('ground-at').min = -reach;
  $('ground-at').max = reach;
  if (!top.settings.ground && typeof ground === 'number') $('ground-at').value = ground;
  traces(d);
}

function traces(d) {
  const all = d.traces || [];
  $('traces').hidden = all.length < 2;
  $('trace-choices').replaceChildren(...all.map((t) => {
    const radio = make('input', { type: 'radio', name: 'trace', value: t.name, checked: t.chosen });
    const swatch = make('span', { className: 'swatch' });
    swatch.style.background = t.colour;
    return make('label', {}, radio, swatch, ` ${t.name}`);
  }));
}
