// A drawing held against the photo on top: a photo of it is chosen, the core reads its squares and its curve, and holds
// them against the answer of the leaf. The drawing, and how it was drawn, is kept with its leaf and in the notebook
// (kept.sketch, its name, kept.sketchFile and kept.placing); what was read of it stays while the page is open.

import { answer, check } from './core.js';
import { $, make } from './dom.js';
import { route, shape } from './drawing.js';
import { on, readable, top } from './leaves.js';

const pause = 400; // ms after the last change, so that typing is not held up
const settings = ['squares_per_box', 'origin', 'tolerance']; // the names of the fields

let timer = 0;
let work = null; // AbortController of what is under way

/** checking listens to the leaves and to the fields of the drawing. */
export function checking() {
  $('sketch').addEventListener('change', () => {
    const photo = $('sketch').files[0];
    if (photo && top) draw(photo.name || 'drawing.jpg', photo);
    $('sketch').value = '';
  });
  $('no-sketch').addEventListener('click', () => {
    top.kept.placing = {};
    draw();
    $('sketch').focus();
  });
  for (const name of settings) {
    $(`sketch-${name}`).addEventListener('input', () => {
      if (!top?.kept.sketchFile) return;
      (top.kept.placing ??= {})[name] = $(`sketch-${name}`).value.trim();
      if (top.sketch) top.sketch.got = null;
      later();
    });
  }
  on('answered', (leaf) => {
    if (leaf.sketch) leaf.sketch.got = null; // the display is another one now
    if (leaf === top) later();
  });
  on('turned', () => { fill(); later(); });
  on('emptied', later);
}

function later() {
  clearTimeout(timer);
  timer = setTimeout(look, pause);
}

// draw gives the leaf on top another drawing, or none.
function draw(name, photo) {
  Object.assign(top.kept, { sketch: name, sketchFile: photo });
  top.sketch = null;
  fill();
  look();
}

function fill() {
  for (const name of settings) $(`sketch-${name}`).value = top?.kept.placing?.[name] || '';
}

async function look() {
  work?.abort();
  const mine = work = new AbortController(), leaf = top, { sketch: name, sketchFile: file, placing } = leaf?.kept || {};
  $('drawn').hidden = leaf?.answer?.status !== 200;
  $('sketch-fields').hidden = !file;
  if (!file || $('drawn').hidden) return show(null);
  const sketch = leaf.sketch ||= { answer: null, got: null };
  try {
    if (!sketch.answer) {
      say('Looking for the squares and the curve …');
      const photo = await readable(file);
      sketch.answer = await answer({ photo, settings: { file: name, paper: 'yes' } }, '', mine.signal, () => {});
    }
    sketch.got ??= await check(JSON.stringify({
      drawing: sketch.answer.document, display: leaf.answer.document,
      settings: Object.fromEntries(Object.entries(placing || {}).filter(([, text]) => text)),
    }), mine.signal);
    if (work === mine) show(sketch);
  } catch (error) {
    if (error.name !== 'AbortError') say(`That did not work: ${error.message}.`);
  }
}

// say tells a sentence, which is heard too, and shows parts below it.
function say(words, ...parts) {
  $('sketch-short').textContent = words;
  $('sketch-says').replaceChildren(...parts);
}

function show(sketch) {
  const got = sketch?.got;
  if (!got) return say('');
  if (!got.check) return say(`${inWords(got.error.reason)}. To mend it: ${got.error.hint}.`, ...picture(sketch));
  const page = new DOMParser().parseFromString(got.page, 'text/html'), parts = [];
  const section = (id) => {
    const s = page.querySelector(`section[aria-labelledby=h-check${id}]`);
    return s && document.importNode(s, true);
  };
  const verdict = section('');
  const list = verdict.querySelector('ul');
  if (list) parts.push(list);
  const doubts = section('-doubts');
  if (doubts) parts.push(smaller(doubts));
  parts.push(...picture(sketch));
  const figure = section('-figure')?.querySelector('figure');
  if (figure) parts.push(figure);
  for (const id of ['-facts', '-numbers', '-notes']) {
    const s = section(id);
    if (!s) continue;
    const head = s.querySelector('h2');
    head.remove();
    parts.push(make('details', { className: 'fold-up' }, make('summary', { textContent: head.textContent }), ...s.childNodes));
  }
  say(verdict.querySelector('.short').textContent, ...parts);
  for (const li of $('sketch-says').querySelectorAll('li')) li.textContent = inWords(li.textContent);
}

// inWords speaks of the fields here where a sentence speaks of the command line.
function inWords(text) {
  const words = { '--squares-per-box': '“squares a box”', '--origin': '“the screen’s corner”', '--tolerance': '“boxes it may be off”' };
  for (const [flag, field] of Object.entries(words)) text = text.replaceAll(`${flag}: `, `${field}: `).replaceAll(flag, field);
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}

function smaller(s) {
  for (const h of s.querySelectorAll('h2')) h.replaceWith(make('h3', { id: h.id }, ...h.childNodes));
  return s;
}

// picture is the photo of the drawing with the display laid on it.
function picture({ answer: { document: d, pictures }, got }) {
  const photo = pictures?.find((p) => p.name === 'photo');
  if (!photo) return [];
  const svg = shape('svg', { class: 'over', viewBox: `0 0 ${d.photo.width_px} ${d.photo.height_px}`, 'aria-hidden': 'true' });
  const boxes = got.boxes.map(route).join(''), trace = got.trace.map(route).join('');
  for (const [name, path] of [['under', boxes], ['lattice', boxes], ['under dark', trace], ['found', trace]]) {
    svg.append(shape('path', { class: name, d: path }));
  }
  for (const { at: [x, y], says } of got.numbers) {
    const number = shape('text', { class: 'count', x, y }, says);
    number.style.fontSize = `${d.photo.width_px / 45}px`;
    svg.append(number);
  }
  const image = make('img', { src: photo.url, width: photo.w, height: photo.h, alt: 'The photo of the drawing' });
  return [make('figure', { className: 'photo' }, make('div', { className: 'stack' }, image, svg), make('figcaption', {
    className: 'quiet', textContent: 'Orange: the boxes of the display. White: its trace. The numbers count the squares of the paper.',
  }))];
}
