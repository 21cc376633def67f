// The notebook: leaves, each a photo with its settings, what they were before, and the answer to them. One leaf is on
// top. Who wants to know what happens to them listens: 'turned' to another leaf, 'changed' settings, 'answered' by the
// core, 'listed' when there are more or fewer of them or they stand in another order, 'emptied' when the last one is
// gone.

import { $, make } from './dom.js';
import { nameOf } from './notebook.js';

// {name, file, given: Blob, photo: Blob, settings, past: [settings], answer, size, pictures, kept, sketch: {answer, got}}
export const leaves = [];
export let top = null;

/** book is what belongs to no single photo. */
export const book = { title: '', by: '', date: '', instrument: '', head: '', settings: {}, compare: [] };

const listeners = { turned: [], changed: [], answered: [], listed: [], emptied: [] };
const removed = []; // {leaf, at, when}
let now = 0; // counts what can be undone

/** on calls f with the leaf whenever it happened; those who listened first are called first. */
export function on(what, f) { listeners[what].push(f); }

/** tell says that it happened to a leaf. */
export function tell(what, leaf) { for (const f of listeners[what]) f(leaf); }

/** naming listens to what changes names, order and number of the leaves. */
export function naming() {
  $('leaf-name').addEventListener('input', () => rename($('leaf-name').value));
  $('leaf-name').addEventListener('change', () => { $('leaf-name').value = top?.name ?? ''; });
  $('earlier').addEventListener('click', () => move(-1));
  $('later').addEventListener('click', () => move(1));
  $('remove').addEventListener('click', remove);
  $('put-back').addEventListener('click', putBack);
  for (const key of ['title', 'by', 'date']) {
    $(`book-${key}`).addEventListener('input', () => { book[key] = $(`book-${key}`).value.trim(); });
  }
}

/** take puts a photo on a new leaf on top; name and settings are those of a sample. */
export async function take(file, name, settings) {
  if (file) turnTo(await add({ file: name || file.name || 'photo.jpg', photo: file, settings: settings || {} }));
}

/** add makes a leaf of a sheet (file, name, photo, settings, kept) and puts it behind the others. */
export async function add(sheet) {
  const leaf = { past: [], pictures: [], size: [1, 1], kept: {}, ...sheet, given: sheet.photo, latest: 0 };
  leaf.name = free(sheet.name || nameOf(leaf.file) || 'photo');
  leaf.settings = { ...sheet.settings, file: leaf.file };
  leaf.photo = await readable(sheet.photo);
  leaves.push(leaf);
  list();
  return leaf;
}

// free gives a name that no other leaf has.
function free(name, but) {
  const taken = (n) => leaves.some((l) => l !== but && l.name === n);
  let out = name;
  for (let k = 2; taken(out); k++) out = `${name.slice(0, 55)} ${k}`;
  return out;
}

/**
 * readable gives the file, or what the browser makes of one that only it may be able to read: HEIC and its kin,
 * whatever their names, begin with a box ftyp (ISO/IEC 14496-12).
 */
export async function readable(file) {
  if (await file.slice(4, 8).text() !== 'ftyp') return file;
  try {
    const image = await createImageBitmap(file);
    const canvas = new OffscreenCanvas(image.width, image.height);
    canvas.getContext('2d').drawImage(image, 0, 0);
    return await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.97 });
  } catch {
    return file; // the core reads it, or says what it is
  }
}

/** turnTo puts a leaf on top. */
export function turnTo(leaf) {
  if (top === leaf) return;
  top = leaf;
  list();
  tell('turned', leaf);
}

/** change sets settings of the leaf on top by name; '' takes one away. */
export function change(settings) {
  if (!top) return;
  const next = { ...top.settings, ...settings };
  for (const k of Object.keys(next)) if (next[k] === '') delete next[k];
  if (JSON.stringify(next) === JSON.stringify(top.settings)) return;
  top.past.push(top.settings);
  top.settings = next;
  top.latest = ++now;
  tell('changed', top);
}

/** undo takes back the last change of the leaf on top, or the removal of one since then. */
export function undo() {
  if (removed.length && removed.at(-1).when > (top?.latest ?? 0)) return putBack();
  if (!top?.past.length) return;
  top.settings = top.past.pop();
  tell('changed', top);
}

function rename(text) {
  const name = text.replaceAll('/', ' ').trim().slice(0, 60);
  if (!top || !name) return;
  top.name = free(name, top);
  list();
}

// move puts the leaf on top earlier or later.
function move(by) {
  const at = leaves.indexOf(top), to = at + by;
  if (at < 0 || to < 0 || to >= leaves.length) return;
  leaves.splice(to, 0, ...leaves.splice(at, 1));
  list();
}

function remove() {
  const at = leaves.indexOf(top);
  if (at < 0) return;
  removed.push({ leaf: top, at, when: ++now });
  leaves.splice(at, 1);
  top = null;
  if (leaves.length) turnTo(leaves[Math.min(at, leaves.length - 1)]);
  else { list(); tell('emptied'); }
  $('put-back').focus();
}

function putBack() {
  const last = removed.pop();
  if (!last) return;
  last.leaf.name = free(last.leaf.name);
  leaves.splice(Math.min(last.at, leaves.length), 0, last.leaf);
  turnTo(last.leaf);
  $('leaf-name').focus();
}

function list() {
  $('leaves').hidden = leaves.length < 2;
  $('leaves').replaceChildren(...leaves.map((leaf) => {
    const button = make('button', { type: 'button', textContent: leaf.name });
    button.setAttribute('aria-current', leaf === top);
    button.addEventListener('click', () => turnTo(leaf));
    return button;
  }));
  const at = leaves.indexOf(top);
  $('this-leaf').hidden = at < 0;
  if (at >= 0 && document.activeElement !== $('leaf-name')) $('leaf-name').value = top.name;
  hold('earlier', at <= 0);
  hold('later', at < 0 || at === leaves.length - 1);
  const last = removed.at(-1);
  $('removed').hidden = !last;
  $('removed-says').textContent = last ? `${last.leaf.name} is removed.` : '';
  tell('listed', top);
}

// hold makes a button of no use without taking the focus from it.
function hold(id, so) { $(id).setAttribute('aria-disabled', so); }
