// Photos come by the file picker, by drop, by paste, or from the samples.

import { $, make } from './dom.js';
import { isNotebook, openNotebook } from './keep.js';
import { take } from './leaves.js';

/** choosing listens to all the ways. */
export function choosing() {
  $('file').addEventListener('change', async () => {
    await came([...$('file').files]);
    $('file').value = '';
  });
  const drop = $('drop');
  for (const name of ['dragover', 'dragenter']) {
    drop.addEventListener(name, (e) => { e.preventDefault(); drop.classList.add('over'); });
  }
  for (const name of ['dragleave', 'drop']) drop.addEventListener(name, () => drop.classList.remove('over'));
  drop.addEventListener('drop', (e) => { e.preventDefault(); came([...e.dataTransfer.files]); });
  document.addEventListener('paste', (e) => {
    const file = [...(e.clipboardData?.files || [])].find((f) => f.type.startsWith('image/'));
    if (file) take(file);
  });
  $('another').addEventListener('click', () => $('file').click());
  $('samples').addEventListener('toggle', samples);
}

// came takes files in: a notebook with its photos, or photos, a leaf each.
async function came(files) {
  if (files.some(isNotebook)) return openNotebook(files);
  for (const file of files) await take(file);
  if (files.length) scrollTo({ top: 0, behavior: 'instant' });
}

// samples are listed when they are asked for.
async function samples() {
  const list = $('sample-list');
  if (!$('samples').open || list.children.length) return;
  try {
    for (const s of await (await fetch('samples/samples.json')).json()) {
      const image = make('img', { src: `samples/${s.file}`, alt: '', loading: 'lazy' });
      const button = make('button', { type: 'button' }, image, s.says);
      button.addEventListener('click', async () => {
        const photo = await (await fetch(image.src)).blob();
        take(photo, s.file, s.settings);
      });
      list.append(make('li', {}, button));
    }
  } catch {
    list.textContent = 'The samples could not be loaded.';
  }
}
