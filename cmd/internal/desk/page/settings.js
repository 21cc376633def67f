// The fields, and the settings that are typed there. With several traces they are those of the one whose name is chosen.

import { $, make } from './dom.js';
import { change, top } from './leaves.js';
import { calledOf, chosen, fieldsOf, nameIn, shownOf, typed, usedOf } from './traces.js';

const wait = 250; // ms after the last letter that is typed

let later = 0; // the timer that runs while what is typed is not yet a setting

const isField = (field) => field.name && field.name !== 'ground-how' && field.name !== 'trace';

/**
 * fields listens to the form; ground is called with boxes above the centre line while the slider is moved, entered when
 * the enter key says that all is typed.
 */
export function fields(ground, entered) {
  const ask = () => {
    clearTimeout(later);
    later = 0;
    change(typed(top.settings, shownOf(top), asTyped()));
  };
  $('form').addEventListener('input', (e) => {
    if (e.target.name === 'trace') return choose(e.target.value);
    clearTimeout(later);
    grounds();
    if (e.target.id === 'ground-at') ground(Number($('ground-at').value));
    later = setTimeout(ask, e.target.tagName === 'INPUT' ? wait : 0);
  });
  $('form').addEventListener('submit', (e) => {
    e.preventDefault();
    ask();
    const { volts_per_box: volts, time_per_box: time } = $('form').elements;
    if (document.activeElement === volts && !time.value) time.focus();
    else entered();
  });
  $('boxes').addEventListener('change', () => change({ boxes: $('boxes').value.trim() }));
}

/** choose shows the settings of the trace with that name, and asks for it. */
export function choose(name) {
  const before = shownOf(top), called = calledOf(top, name);
  if (called !== before) change(chosen(top.settings, before, called));
}

/** groundAt sets the ground line, boxes above the centre line. */
export const groundAt = (boxes) => change(typed(top.settings, shownOf(top), { ground: String(Number(boxes.toFixed(3))) }));

function asTyped() {
  const out = {};
  for (const field of $('form').elements) if (isField(field)) out[field.name] = field.value.trim();
  const how = $('form').elements['ground-how'].value;
  out.ground = how === 'at' ? $('ground-at').value : how;
  return out;
}

// groundHow chooses one of the ways to say where ground is; a list of radio buttons takes no empty value itself.
function groundHow(way) {
  for (const radio of $('form').querySelectorAll('[name=ground-how]')) radio.checked = radio.value === way;
}

function grounds() {
  const at = $('form').elements['ground-how'].value === 'at';
  $('ground-at').disabled = !at;
  const boxes = Number($('ground-at').value);
  $('ground-says').textContent = Math.abs(boxes) < 0.005 ? 'on the centre line'
    : `${Math.abs(boxes).toFixed(2)} boxes ${boxes < 0 ? 'below' : 'above'} the centre`;
}

/** fill puts the settings of the leaf on top into the fields, in the place of what may be typed there. */
export function fill() {
  clearTimeout(later);
  later = 0;
  const own = fieldsOf(top.settings, shownOf(top));
  for (const field of $('form').elements) {
    if (!isField(field)) continue;
    const text = own[field.name] || '';
    if (field.value.trim() !== text) field.value = text; // who types there keeps the cursor
  }
  const ground = own.ground || '', said = ['', 'bottom', 'centre'].includes(ground);
  groundHow(said ? ground : 'at');
  if (!said) $('ground-at').value = ground;
  $('boxes').value = top.settings.boxes || '';
  grounds();
}

/** moveGround shows where the ground line is while it is dragged on the photo. */
export function moveGround(boxes) {
  groundHow('at');
  $('ground-at').value = boxes;
  grounds();
}

/** showFields puts what an answer says into the fields: the traces there are, and where ground lies. */
export function showFields(d) {
  const reach = (d.graticule?.rows || 8) / 2, name = nameIn(d, shownOf(top)), ground = usedOf(d, name).ground_box;
  const marked = d.traces?.find((t) => t.name === name)?.ground_mark_box;
  $('by-mark').textContent = marked === null ? 'by the mark at the rim (none was seen)' : 'by the mark at the rim';
  $('ground-at').min = -reach;
  $('ground-at').max = reach;
  if (typeof ground === 'number') $('ground-at').value = ground;
  traces(d.traces || [], name);
  if (!later) fill();
}

function traces(all, name) {
  $('traces').hidden = all.length < 2;
  const focused = document.activeElement?.name === 'trace';
  $('trace-choices').replaceChildren(...all.map((t) => {
    const radio = make('input', { type: 'radio', name: 'trace', value: t.name, checked: t.name === name });
    const swatch = make('span', { className: 'swatch' });
    swatch.style.background = t.colour;
    const words = t.chosen && all.filter((o) => o.chosen).length > 1 ? ` ${t.name} (read)` : ` ${t.name}`;
    return make('label', {}, radio, swatch, words);
  }));
  if (focused) $('trace-choices').querySelector(':checked')?.focus({ preventScroll: true });
}

/** focusField brings a person to a field, out of the fold that it may be in. */
export function focusField(name) {
  const field = name === 'ground' ? $('form').querySelector('[name=ground-how]:checked') : $('form').elements[name];
  const fold = field.closest('details');
  if (fold) fold.open = true;
  field.focus();
  field.closest('label, fieldset').scrollIntoView({ block: 'center' });
}
