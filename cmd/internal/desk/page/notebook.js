// The notebook as one file: its text and files made into leaves, and leaves made into them. The form is that of package
// notebook, which the command line reads. Whether a value is right the core says once it reads the photo; the keys, the
// kinds and the files are looked at here. What the page does not show is kept, and written again.

import { keys } from './terms.js';
import { nearest, parse, print, Reader } from './yaml.js';

const most = { photos: 200, compare: 200, traces: 8, name: 60, line: 200 };
const settingKeys = [...keys.settings, ...keys.trace];
const placing = ['squares_per_box', 'origin', 'tolerance']; // how a sketch was drawn
const dials = [['frequency', 'known_frequency'], ['drive', 'known_drive'], ['source_resistance', 'source_resistance']];
const comments = /^(?:[ \t]*#.*\r?\n|[ \t]*\r?\n)*/;

/** nameOf is what a photo is called without a name: its file's, without folders and ending. */
export const nameOf = (file) => {
  const base = file.split('/').at(-1);
  return [...(base.replace(/\.[^.]*$/, '').trim() || base)].slice(0, most.name).join('');
};

/**
 * read takes a notebook apart. files has what lies beside it, Blobs by name. It gives the head of the book, a sheet for
 * each photo (file, name, photo, settings, kept), and faults with their lines; with faults there is nothing else.
 */
export async function read(text, files) {
  const faults = [], tree = await parse(text, faults);
  if (!tree) return { faults };
  const r = new Reader(text, faults), top = r.block(tree, 'a notebook', keys.notebook);
  const version = r.line(top.get('notebook'));
  if (version !== '1' && !faults.length) r.fault(top.get('notebook') || tree, 'this is no notebook of this version',
    'begin it with the line notebook: 1');
  const book = { head: comments.exec(text)[0], compare: [] };
  for (const key of ['title', 'by', 'date']) book[key] = r.line(top.get(key), most.line);
  book.instrument = r.line(top.get('instrument'), most.name);
  book.settings = texts(r, top.get('settings'), 'the settings of all photos', settingKeys);
  const sheets = [];
  for (const node of r.list(top.get('photos') || { kind: 'text', text: '' }, 'photos', most.photos)) {
    sheets.push(await photo(r, node, book, files, sheets));
  }
  if (!sheets.length && !faults.length) r.fault(tree, 'the notebook has no photos', 'add - file: NAME for each');
  for (const node of r.list(top.get('compare') || { kind: 'text', text: '' }, 'comparisons', most.compare)) {
    const c = r.block(node, 'a comparison', keys.comparison), of = c.get('of');
    const quantity = r.line(c.get('quantity'));
    if (!keys.quantities.includes(quantity)) {
      const near = nearest(quantity, keys.quantities);
      r.fault(c.get('quantity') || node, `there is no quantity “${quantity}”`,
        near ? `write ${near}` : `the quantities are ${keys.quantities.join(', ')}`);
    }
    const named = !of || of.text === '' ? null : of.kind === 'text' ? [of] : r.list(of, 'photos', most.photos);
    book.compare.push({ quantity, of: named && named.map((n) => member(r, n, sheets)) });
  }
  faults.sort((a, b) => a.line - b.line || a.column - b.column);
  return faults.length ? { faults } : { book, sheets, faults };
}

function texts(r, node, what, names) {
  const out = {};
  if (!node) return out;
  for (const [key, value] of r.block(node, what, names)) {
    const text = r.line(value);
    if (text) out[key] = text;
  }
  return out;
}

async function photo(r, node, book, files, before) {
  const at = r.block(node, 'a photo', [...keys.photo, ...keys.readings, ...settingKeys]);
  const beside = (key) => {
    const name = r.line(at.get(key), most.line);
    if (name && !files.has(name)) {
      const near = nearest(name, [...files.keys()]);
      r.fault(at.get(key), `there is no file “${name}” with it`,
        near ? `the nearest is ${near}` : 'choose it together with the notebook');
    }
    return name;
  };
  const file = beside('file'), name = r.line(at.get('name'), most.name) || nameOf(file);
  if (!file && !(at.get('file')?.kind === 'list')) r.fault(node, 'a photo has no file',
    'add file: and the name of the photo');
  if (before.some((b) => b.name === name)) r.fault(at.get('name') || node, `two photos are called “${name}”`,
    'give each a name: of its own');
  if (name.includes('/')) r.fault(at.get('name') || node, 'a name cannot have a / in it', 'leave it out');
  const own = {};
  for (const key of settingKeys) if (at.has(key)) own[key] = r.line(at.get(key));
  const settings = { ...book.settings, ...Object.fromEntries(Object.entries(own).filter(([, v]) => v)), file };
  const title = r.line(at.get('title'), most.line);
  if (title) settings.title = title;
  const kept = { generator: texts(r, at.get('generator'), 'a generator', keys.generator) };
  for (const [dial, key] of dials) {
    if (!kept.generator[dial]) continue;
    if (own[key]) r.fault(at.get(key), `${key} is given twice, here and under generator`, 'leave one of them out');
    settings[key] = kept.generator[dial];
  }
  kept.display = texts(r, at.get('display'), 'what the display says', keys.quantities);
  kept.by_hand = texts(r, at.get('by_hand'), 'what was read by hand', keys.quantities);
  kept.instrument = r.line(at.get('instrument'), most.name);
  kept.sketch = beside('sketch');
  kept.sketchFile = files.get(kept.sketch);
  kept.placing = Object.fromEntries(placing.map((key) => [key, r.line(at.get(key))]));
  const traces = at.has('traces') ? r.list(at.get('traces'), 'traces', most.traces) : [];
  if (traces.length) settings.traces = traces.map((t) => texts(r, t, 'a trace', keys.trace));
  await readings(r, at, settings, kept, beside('readings_file'), files);
  return { file, name, named: at.has('name'), photo: files.get(file), settings, kept };
}

async function readings(r, at, settings, kept, name, files) {
  const table = at.get('readings');
  if (table && table.kind !== 'text') r.fault(table, 'readings are a table of text',
    'write readings: | and the table below it');
  const text = table?.kind === 'text' ? table.text : '';
  if (text && name) r.fault(at.get('readings_file'), 'the readings are given twice, here and as a file',
    'leave one of them out');
  if (text) settings.readings = text;
  if (name && files.has(name)) {
    kept.readingsFile = files.get(name);
    settings.readings = await kept.readingsFile.text();
    settings.readings_file = name;
  }
  const begin = r.line(at.get('readings_begin'));
  if (begin) settings.readings_begin = begin;
}

// member is a photo, and the way to its value if one is named.
function member(r, node, sheets) {
  const [name, ...way] = r.line(node).split('/').map((p) => p.trim());
  const sheet = sheets.find((s) => s.name === name);
  if (!sheet) r.fault(node, `there is no photo called “${name}”`,
    `the photos are called ${sheets.map((s) => s.name).join(', ')}`);
  return { sheet, way: way.join('/') };
}

/**
 * write gives the files of a notebook, Blobs by name, of its head and its leaves (file, name, photo, settings, kept).
 * found is what the page compared ({quantity, of: leaves}), for a book that says nothing of it itself.
 */
export async function write(book, leaves, found) {
  const files = new Map([['notebook.yaml', null]]);
  const all = (key) => leaves.every((l) => l.settings[key]);
  const common = Object.fromEntries(Object.entries(book.settings).filter(([key]) => all(key)));
  const { title, by, date, instrument } = book, out = { notebook: '1', ...filled({ title, by, date, instrument }) };
  if (Object.keys(common).length) out.settings = common;
  out.photos = leaves.map((leaf) => entry(leaf, common, files));
  const compare = comparisons(book, leaves, found);
  if (compare.length) out.compare = compare;
  files.set('notebook.yaml', new Blob([(book.head || '') + await print(out)], { type: 'application/yaml' }));
  return files;
}

function entry(leaf, common, files) {
  const { settings: s, kept = {} } = leaf, out = { file: placed(files, leaf.file, leaf.given || leaf.photo) };
  if (leaf.name !== nameOf(out.file)) out.name = leaf.name;
  Object.assign(out, filled({ title: s.title, instrument: kept.instrument }));
  const generator = { ...kept.generator };
  for (const key of settingKeys) if (s[key] && s[key] !== common[key]) out[key] = s[key];
  for (const [dial, key] of dials) {
    if (!generator[dial]) continue;
    if (s[key]) generator[dial] = s[key]; // it was changed where the page shows it
    else delete generator[dial];
    delete out[key];
  }
  if (s.traces?.length) out.traces = s.traces.map(filled);
  if (kept.readingsFile) out.readings_file = placed(files, s.readings_file, kept.readingsFile);
  else if (s.readings) out.readings = s.readings;
  if (s.readings_begin) out.readings_begin = s.readings_begin;
  for (const [key, value] of Object.entries({ generator, display: kept.display, by_hand: kept.by_hand })) {
    if (value && Object.keys(value).length) out[key] = value;
  }
  if (kept.sketch) Object.assign(out, { sketch: placed(files, kept.sketch, kept.sketchFile) }, filled(kept.placing || {}));
  return out;
}

const filled = (o) => Object.fromEntries(Object.entries(o).filter(([, v]) => v));

// placed gives a file a name that is its own there, and that every computer takes. The same file twice has one place.
function placed(files, name, blob) {
  for (const [at, b] of files) if (b === blob) return at;
  const cleaned = (name || 'photo.jpg').replace(/[\\:*?"<>|\u0000-\u001f\u007f-\u009f]/g, '_').split('/');
  const parts = cleaned.map((p) => p.trim()).filter((p) => p && p !== '.' && p !== '..');
  const whole = parts.join('/').slice(-150) || 'photo.jpg', [, stem, end] = /^(.*?)(\.[^./]*)?$/s.exec(whole);
  let at = whole;
  for (let k = 2; files.has(at); k++) at = `${stem}-${k}${end || ''}`;
  files.set(at, blob);
  return at;
}

function comparisons(book, leaves, found) {
  if (!book.compare?.length) return found.map((c) => ({ quantity: c.quantity, of: c.of.map((l) => l.name) }));
  const out = [];
  for (const c of book.compare) {
    if (!c.of) { out.push({ quantity: c.quantity }); continue; }
    const of = c.of.filter((m) => leaves.includes(m.leaf));
    if (!of.length || of.length === 1 && of[0].way) continue; // the others are gone
    out.push({ quantity: c.quantity, of: of.map((m) => (m.way ? `${m.leaf.name}/${m.way}` : m.leaf.name)) });
  }
  return out;
}
