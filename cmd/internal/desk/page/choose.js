// Photos come by the file picker, by drop, by paste, or from the samples.

import { $, make } from './dom.js';
import { take } from './leaves.js';

/** choosing listens to all the ways. */
export function choosing() {
  $('file').addEventListener('change', () => { take($('file').files[0]); $('file').value = ''; });
  const drop = $('drop');
  for (const name of ['dragover', 'dragenter']) {
    drop.addEventListener(name, (e) => { e.preventDefault(); drop.classList.add('over'); });
  }
  for (const name of ['dragleave', 'drop']) drop.addEventListener(name, () => drop.classList.remove('over'));
  drop.addEventListener('drop', (e) => { e.preventDefault(); take(e.dataTransfer.files[0]); });
  document.addEventListener('paste', (e) => {
    const file = [...(e.clipboardData?.files || [])].find((f) => f.type.startsWith('image/'));
    if (file) take(file);
  });
  $('another').addEventListener('click', () => { $('choose').scrollIntoView(); $('file').focus(); });
  $('samples').addEventListener('toggle', samples);
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
        $('samples').open = false;
        take(photo, s.file, s.settings);
      });
      list.append(make('li', {}, button));
    }
  } catch {
    list.textContent = 'The samples could not be loaded.';
  }
}
