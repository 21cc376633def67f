// The page: a notebook with one or more leaves, each a photo with its settings and the answer to them. Whatever is changed
// goes into the settings of the leaf on top, and the core answers again.

import { answer, file, whereWords } from './core.js';
import { Drawing } from './drawing.js';

const $ = (id) => document.getElementById(id);
const wait = 250; // ms after the last letter that is typed

const leaves = []; // {name, photo: Blob, settings, past: [settings], answer, size, pictures}
let top = null;
let work = null; // AbortController of what is under way

$('where').textContent = whereWords;

const drawing = new Drawing({
  svg: $('over'), image: $('photo'), loupe: $('loupe'),
  moved: (corners) => change({ corners: corners.map((p) => p.map((v) => v.toFixed(1)).join(',')).join(' '), boxes: boxesOf() }),
  tapped: (name) => change({ trace: name }),
});

function boxesOf() {
  const g = top.answer?.document.graticule;
  return $('boxes').value.trim() || (g ? `${g.columns}x${g.rows}` : '10x8');
}

// Photos come by the file picker, by drop, by paste, or from the samples.

$('file').addEventListener('change', () => { take($('file').files[0]); $('file').value = ''; });
const drop = $('drop');
for (const name of ['dragover', 'dragenter']) drop.addEventListener(name, (e) => { e.preventDefault(); drop.classList.add('over'); });
for (const name of ['dragleave', 'drop']) drop.addEventListener(name, () => drop.classList.remove('over'));
drop.addEventListener('drop', (e) => { e.preventDefault(); take(e.dataTransfer.files[0]); });
document.addEventListener('paste', (e) => {
  const file = [...(e.clipboardData?.files || [])].find((f) => f.type.startsWith('image/'));
  if (file) take(file);
});
$('another').addEventListener('click', () => { $('choose').scrollIntoView(); $('file').focus(); });

$('samples').addEventListener('toggle', async () => {
  const list = $('sample-list');
  if (!$('samples').open || list.children.length) return;
  try {
    for (const s of await (await fetch('samples/samples.json')).json()) {
      const item = document.createElement('li'), button = document.createElement('button'), image = document.createElement('img');
      image.src = `samples/${s.file}`;
      image.alt = '';
      image.loading = 'lazy';
      button.type = 'button';
      button.append(image, s.says);
      button.addEventListener('click', async () => take(await (await fetch(image.src)).blob(), s.file, s.settings));
      item.append(button);
      list.append(item);
    }
  } catch {
    list.textContent = 'The samples could not be loaded.';
  }
});

async function take(file, name, settings) {
  if (!file) return;
  const leaf = { name: name || file.name || 'photo', settings: { ...settings }, past: [], pictures: [], size: [1, 1] };
  leaf.settings.file = leaf.name;
  leaf.photo = await readable(file);
  leaves.push(leaf);
  $('samples').open = false;
  turnTo(leaf);
}

// readable gives the file, or what the browser makes of one that the core cannot read and the browser can.
async function readable(file) {
  if (!/hei[cf]/i.test(`${file.type} ${file.name}`)) return file;
  try {
    const image = await createImageBitmap(file);
    const canvas = new OffscreenCanvas(image.width, image.height);
    canvas.getContext('2d').drawImage(image, 0, 0);
    return await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.97 });
  } catch {
    return file; // the core says what it is
  }
}

// A change of settings.

function change(settings) {
  if (!top) return;
  const next = { ...top.settings, ...settings };
  for (const k of Object.keys(next)) if (next[k] === '') delete next[k];
  if (JSON.stringify(next) === JSON.stringify(top.settings)) return;
  top.past.push(top.settings);
  top.settings = next;
  ask();
}

$('undo').addEventListener('click', undo);
document.addEventListener('keydown', (e) => {
  if ((e.ctrlKey || e.metaKey) && e.key === 'z' && !/^(INPUT|TEXTAREA)$/.test(document.activeElement?.tagName)) { e.preventDefault(); undo(); }
});
function undo() {
  if (!top?.past.length) return;
  top.settings = top.past.pop();
  fill();
  ask();
}

let typed = 0;
$('form').addEventListener('input', (e) => {
  clearTimeout(typed);
  if (e.target.id === 'ground-at') { grounds(); drawing.ground(Number($('ground-at').value)); }
  typed = setTimeout(() => change(asTyped()), e.target.tagName === 'INPUT' ? wait : 0);
});
$('form').addEventListener('submit', (e) => { e.preventDefault(); clearTimeout(typed); change(asTyped()); });
$('boxes').addEventListener('change', () => change({ boxes: $('boxes').value.trim() }));

function asTyped() {
  const out = {};
  for (const field of $('form').elements) {
    if (field.name && field.name !== 'ground-how' && field.name !== 'trace') out[field.name] = field.value.trim();
  }
  const how = $('form').elements['ground-how'].value;
  out.ground = how === 'at' ? $('ground-at').value : how;
  const trace = $('form').querySelector('input[name=trace]:checked');
  if (trace && top.settings.trace !== trace.value && (top.settings.trace || trace.value !== chosenOf(top.answer))) out.trace = trace.value;
  grounds();
  return out;
}

function grounds() {
  const at = $('form').elements['ground-how'].value === 'at';
  $('ground-at').disabled = !at;
  $('ground-says').textContent = at ? `${Number($('ground-at').value).toFixed(2)} boxes above the centre` : '';
}

// fill puts the settings of the leaf on top into the fields.
function fill() {
  for (const field of $('form').elements) {
    if (field.name && field.name !== 'ground-how' && field.name !== 'trace') field.value = top.settings[field.name] || '';
  }
  const ground = top.settings.ground || '', said = ['', 'bottom', 'centre'].includes(ground);
  $('form').elements['ground-how'].value = said ? ground : 'at';
  if (!said) $('ground-at').value = ground;
  $('boxes').value = top.settings.boxes || '';
  grounds();
}

// Asking the core, and showing what it answers.

async function ask() {
  work?.abort();
  const mine = work = new AbortController();
  const leaf = top, begun = performance.now();
  const say = () => { $('busy-says').textContent = `Reading the photo … ${((performance.now() - begun) / 1000).toFixed(0)} s`; };
  const clock = setTimeout(() => { say(); $('busy').hidden = false; }, 300);
  const ticks = setInterval(say, 1000);
  try {
    const got = await answer(leaf, leaf.answer?.grid || '', mine.signal);
    if (got.document.error?.kind === 'setting' && leaf.answer) { // what was read stands until the slip is mended
      if (leaf === top) { slipOf(got.document.error); $('answer').classList.add('stale'); }
      return;
    }
    leaf.answer = got;
    if (got.pictures) leaf.pictures = got.pictures;
    if (leaf === top) show();
  } catch (error) {
    if (error.name !== 'AbortError' && leaf === top) slip(`${error.message}.`);
  } finally {
    clearTimeout(clock);
    clearInterval(ticks);
    if (work === mine) { work = null; $('busy').hidden = true; }
  }
}
$('stop').addEventListener('click', () => work?.abort());

const chosenOf = (got) => got?.document.traces?.find((t) => t.chosen)?.name;

function show() {
  const got = top.answer, d = got.document;
  $('answer').classList.remove('stale');
  const photo = top.pictures.find((p) => p.name === 'photo');
  if (photo) $('photo').src = photo.url;
  top.size = [d.photo?.width_px || photo?.w || 1, d.photo?.height_px || photo?.h || 1];
  const seen = got.grid !== '';
  $('view').hidden = $('ask').hidden = !seen;
  $('keep').hidden = got.status !== 200;
  $('by-hand').hidden = !drawing.editing;
  $('again').hidden = !top.settings.corners;
  $('undo').disabled = !top.past.length;
  if (seen) {
    const reach = (d.graticule?.rows || 8) / 2;
    $('ground-at').min = -reach;
    $('ground-at').max = reach;
    const ground = d.settings?.ground_box;
    drawing.show(got, top.size, chosenOf(got), typeof ground === 'number' ? ground : null);
    if (!top.settings.ground && typeof ground === 'number') $('ground-at').value = ground;
    if (!d.graticule && !drawing.editing) corners(true);
    $('view-says').textContent = d.graticule ? `${d.graticule.columns} × ${d.graticule.rows} boxes. If not, move the corners.` : 'No grid was found: put the corners on it, and say how many boxes it has.';
  }
  rims();
  traces(d);
  slipOf(d.error);
  sections(got.page);
  leafList();
}

function rims() {
  const grid = top.answer.grid;
  if ($('rims').dataset.grid === grid) return;
  $('rims').dataset.grid = grid;
  const order = ['below', 'above', 'left', 'right']; // where most displays print their settings comes first
  const rank = (p) => order.findIndex((o) => p.name.startsWith(o));
  const pictures = top.pictures.filter((p) => p.name !== 'photo').sort((a, b) => rank(a) - rank(b));
  const figures = pictures.map((p) => {
    const figure = document.createElement('figure'), image = document.createElement('img'), words = document.createElement('figcaption');
    Object.assign(image, { src: p.url, width: p.w, height: p.h, alt: `The display’s rim, ${p.name}` });
    words.textContent = p.name;
    figure.className = p.tall ? 'tall' : '';
    figure.append(image, words);
    return figure;
  });
  const first = pictures.filter((p) => rank(p) === 0).length || 2;
  $('rims').replaceChildren(...figures.slice(0, first));
  $('other-rims').replaceChildren(...figures.slice(first));
}

function traces(d) {
  const all = d.traces || [];
  $('traces').hidden = all.length < 2;
  $('trace-choices').replaceChildren(...all.map((t) => {
    const label = document.createElement('label'), radio = document.createElement('input'), swatch = document.createElement('span');
    Object.assign(radio, { type: 'radio', name: 'trace', value: t.name, checked: t.chosen });
    swatch.className = 'swatch';
    swatch.style.background = t.colour;
    label.append(radio, swatch, ` ${t.name}`);
    return label;
  }));
}

// slipOf shows what is wrong with a setting beside its field, or above the answer.
function slipOf(error) {
  for (const field of $('form').elements) field.removeAttribute?.('aria-invalid');
  const field = error?.field && $('form').elements[error.field.replaceAll('-', '_')];
  if (error?.kind !== 'setting') return slip('');
  if (field?.setAttribute) field.setAttribute('aria-invalid', 'true');
  const label = field?.closest?.('label')?.firstChild.textContent.trim();
  const reason = error.reason.replace(/^--[\w-]+: /, '');
  slip(`${label ? `${label}: ` : ''}${reason}. To mend it: ${error.hint || 'change the setting'}.`);
}
function slip(words) {
  $('slip').textContent = words;
  $('slip').hidden = !words;
  if (words) $('ask').hidden = false;
}

// The sections of the page that is kept, in the order of a first look: the answer and what is to be looked at; the graphs;
// the rest to be unfolded.

const open = ['h-error', 'h-doubts', 'h-agree', 'h-graphs', 'h-beside'];
const folded = ['h-results', 'h-readings', 'h-what-if', 'h-notes', 'h-settings', 'h-budgets'];

function sections(html) {
  const page = new DOMParser().parseFromString(html, 'text/html');
  if (!$('page-style')) {
    const style = document.createElement('style');
    style.id = 'page-style';
    style.textContent = page.querySelector('style').textContent;
    document.head.prepend(style);
  }
  const parts = [];
  const short = page.querySelector('.short');
  if (short) {
    const p = document.createElement('p');
    p.className = 'first';
    p.textContent = short.textContent;
    parts.push(p);
  }
  const section = (id) => page.querySelector(`section[aria-labelledby=${id}]`);
  for (const id of open) if (section(id)) parts.push(document.importNode(section(id), true));
  for (const part of parts) if (part.getAttribute('aria-labelledby') === 'h-agree') agreement(part);
  const wasOpen = new Set([...$('answer').querySelectorAll('details.fold-up[open]')].map((e) => e.dataset.of));
  for (const id of folded) {
    const s = section(id);
    if (!s) continue;
    const details = document.createElement('details'), summary = document.createElement('summary');
    summary.textContent = s.querySelector('h2').textContent;
    s.querySelector('h2').remove();
    details.className = 'fold-up';
    details.dataset.of = id;
    details.open = wasOpen.has(id);
    details.append(summary, ...[...s.childNodes].map((n) => document.importNode(n, true)));
    parts.push(details);
  }
  $('answer').replaceChildren(...parts);
}

// agreement leaves the last sentence of those that agree in sight, which is about all ways together; the others unfold.
function agreement(part) {
  const list = part.querySelector('ul'), same = [...list.querySelectorAll(':scope > li:not(.apart)')];
  if (same.length < 3) return;
  const details = document.createElement('details'), summary = document.createElement('summary'), others = document.createElement('ul');
  summary.textContent = `${same.length - 1} more that agree`;
  others.className = list.className;
  others.append(...same.slice(0, -1));
  details.append(summary, others);
  part.append(details);
}

// The drawing's tools.

function corners(on) {
  drawing.edit(on);
  $('corners').setAttribute('aria-pressed', on);
  $('by-hand').hidden = !on;
}
$('corners').addEventListener('click', () => corners(!drawing.editing));
$('again').addEventListener('click', () => { corners(false); change({ corners: '', boxes: '' }); });
$('larger').addEventListener('click', () => {
  const on = $('frame').classList.toggle('large');
  $('larger').setAttribute('aria-pressed', on);
  drawing.handles();
});

// Leaves.

function leafList() {
  $('leaves').hidden = leaves.length < 2;
  $('leaves').replaceChildren(...leaves.map((leaf) => {
    const button = document.createElement('button');
    button.type = 'button';
    button.textContent = leaf.name;
    button.setAttribute('aria-current', leaf === top);
    button.addEventListener('click', () => turnTo(leaf));
    return button;
  }));
}

function turnTo(leaf) {
  if (top === leaf) return;
  top = leaf;
  corners(false);
  fill();
  $('photo').src = URL.createObjectURL(leaf.photo); // at once; the core's own follows
  $('over').replaceChildren();
  $('view').hidden = false;
  document.body.classList.add('begun');
  $('rims').dataset.grid = '';
  $('answer').replaceChildren();
  if (leaf.answer) return show();
  leafList();
  ask();
}

// Keeping.

for (const button of document.querySelectorAll('[data-keep]')) {
  button.addEventListener('click', () => keep(button.dataset.keep));
}

async function keep(what) {
  $('kept').textContent = 'Making it …';
  try {
    const base = top.name.replace(/\.[^.]*$/, '') || 'reading';
    save(await file(top, what), what === 'result.zip' ? `${base}.zip` : `${base}-${what}`);
    $('kept').textContent = '';
  } catch (error) {
    $('kept').textContent = `That did not work: ${error.message}.`;
  }
}

function save(blob, name) {
  const a = document.createElement('a');
  a.href = URL.createObjectURL(blob);
  a.download = name;
  a.click();
  setTimeout(() => URL.revokeObjectURL(a.href), 60e3);
}

$('save').addEventListener('click', async () => {
  const out = { notebook: 'quadrille/1', leaves: [] };
  for (const leaf of leaves) {
    out.leaves.push({ name: leaf.name, settings: leaf.settings, photo: await asText(leaf.photo) });
  }
  save(new Blob([JSON.stringify(out)], { type: 'application/json' }), 'notebook.json');
});
const asText = (blob) => new Promise((resolve, reject) => {
  const reader = new FileReader();
  reader.onload = () => resolve(reader.result);
  reader.onerror = () => reject(reader.error);
  reader.readAsDataURL(blob);
});
$('load').addEventListener('change', async () => {
  try {
    const text = await $('load').files[0].text();
    const book = JSON.parse(text);
    if (book.notebook !== 'quadrille/1') throw new Error('it is no notebook of this page');
    for (const { name, settings, photo } of book.leaves) {
      await take(blobOf(photo), name, settings);
    }
    $('kept').textContent = '';
  } catch (error) {
    $('kept').textContent = `The notebook could not be opened: ${error.message}.`;
  }
  $('load').value = '';
});
function blobOf(url) {
  const [head, body] = url.split(',');
  const bytes = Uint8Array.from(atob(body), (c) => c.charCodeAt(0));
  return new Blob([bytes], { type: head.slice(5).split(';')[0] });
}

if ('serviceWorker' in navigator && whereWords.includes('browser')) navigator.serviceWorker.register('offline.js');
