// The notebook: leaves, each a photo with its settings, what they were before, and the answer to them. One leaf is on top.
// Who wants to know what happens to them listens: 'turned' to another leaf, 'changed' settings, 'answered' by the core.

import { $ } from './dom.js';

export const leaves = []; // {name, photo: Blob, settings, past: [settings], answer, size, pictures}
export let top = null;

const listeners = { turned: [], changed: [], answered: [] };

/** on calls f with the leaf whenever it happened; those who listened first are called first. */
export function on(what, f) { listeners[what].push(f); }

/** tell says that it happened to a leaf. */
export function tell(what, leaf) { for (const f of listeners[what]) f(leaf); }

/** take puts a photo on a new leaf on top; name and settings are those of a sample or of a saved notebook. */
export async function take(file, name, settings) {
  if (!file) return;
  const leaf = { name: name || file.name || 'photo', settings: { ...settings }, past: [], pictures: [], size: [1, 1] };
  leaf.settings.file = leaf.name;
  leaf.photo = await readable(file);
  leaves.push(leaf);
  turnTo(leaf);
}

// readable gives the file, or what the browser makes of one that only it may be able to read: HEIC and its kin, whatever
// their names, begin with a box ftyp (ISO/IEC 14496-12).
async function readable(file) {
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
  tell('changed', top);
}

/** undo takes back the last change of the leaf on top. */
export function undo() {
  if (!top?.past.length) return;
  top.settings = top.past.pop();
  tell('changed', top);
}

function list() {
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
