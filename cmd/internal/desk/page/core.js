// The core, wherever it runs. answer() gives a live.Answer, files() what is kept; both end early when their signal is
// aborted. Only one work is done at a time: a new one waits for the one before, unless that was stopped.

import { core } from './where.js';

/** @typedef {{photo: Blob, settings: object}} Sheet a photo and its settings, texts by name */

/** The words for a reader of where photos go. */
export const whereWords = core === 'server'
  ? 'The photo goes to the program on this address and nowhere else.'
  : 'Everything is done in this browser: no photo leaves this device.';

/** answer reads a sheet; have is the grid of the pictures that the page has. */
export const answer = (sheet, have, signal) => (core === 'server' ? fromServer : fromWorker)('answer', sheet, have, signal);

/** file gives one of the files that are kept, by name, or all of them as result.zip, as a Blob. */
export const file = (sheet, name, signal) => (core === 'server' ? fromServer : fromWorker)('file', sheet, name, signal);

// more is the grid that the page has, or the name of a file.
async function fromServer(what, sheet, more, signal) {
  const form = new FormData();
  form.set('photo', sheet.photo, sheet.settings.file || 'photo');
  form.set('settings', JSON.stringify(sheet.settings));
  form.set(what === 'file' ? 'name' : 'have', more);
  const response = await fetch(what, { method: 'POST', body: form, signal });
  if (what === 'answer' && response.headers.get('Content-Type')?.startsWith('application/json')) return response.json();
  if (!response.ok) throw new Error((await response.text()).trim() || `the program answered with ${response.status}`);
  return response.blob();
}

let worker = null;
let waiting = Promise.resolve();

function fromWorker(what, sheet, more, signal) {
  const turn = waiting.then(() => inWorker(what, sheet, more, signal));
  waiting = turn.catch(() => {});
  return turn;
}

async function inWorker(what, sheet, more, signal) {
  signal?.throwIfAborted();
  const photo = new Uint8Array(await sheet.photo.arrayBuffer());
  worker ??= new Worker('worker.js');
  return new Promise((resolve, reject) => {
    const end = (then) => (value) => {
      signal?.removeEventListener('abort', stop);
      worker && (worker.onmessage = worker.onerror = null);
      then(value);
    };
    const stop = () => {
      worker.terminate(); // the core has one thread, and it is busy
      worker = null;
      end(reject)(signal.reason);
    };
    signal?.addEventListener('abort', stop, { once: true });
    worker.onmessage = (event) => (event.data.error ? end(reject)(new Error(event.data.error)) : end(resolve)(what === 'file' ? new Blob([event.data.value]) : event.data.value));
    worker.onerror = (event) => {
      worker = null;
      end(reject)(new Error(event.message || 'the core could not be started'));
    };
    worker.postMessage({ what, photo, settings: JSON.stringify(sheet.settings), more });
  });
}
