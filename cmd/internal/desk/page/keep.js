// Keeping: files of the leaf on top, and the notebook, saved and opened again.

import { file } from './core.js';
import { $ } from './dom.js';
import { leaves, take, top } from './leaves.js';

/** keeping listens to the buttons. */
export function keeping() {
  for (const button of document.querySelectorAll('[data-keep]')) {
    button.addEventListener('click', () => keep(button.dataset.keep));
  }
  $('save').addEventListener('click', saveNotebook);
  $('load').addEventListener('change', openNotebook);
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

async function saveNotebook() {
  const out = { notebook: 'quadrille/1', leaves: [] };
  for (const leaf of leaves) {
    out.leaves.push({ name: leaf.name, settings: leaf.settings, photo: await asText(leaf.photo) });
  }
  save(new Blob([JSON.stringify(out)], { type: 'application/json' }), 'notebook.json');
}

const asText = (blob) => new Promise((resolve, reject) => {
  const reader = new FileReader();
  reader.onload = () => resolve(reader.result);
  reader.onerror = () => reject(reader.error);
  reader.readAsDataURL(blob);
});

async function openNotebook() {
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
}

function blobOf(url) {
  const [head, body] = url.split(',');
  const bytes = Uint8Array.from(atob(body), (c) => c.charCodeAt(0));
  return new Blob([bytes], { type: head.slice(5).split(';')[0] });
}
