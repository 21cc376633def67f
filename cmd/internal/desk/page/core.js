// The core, wherever it runs. answer() gives a live.Answer, file() what is kept; both end early when their signal is
// aborted. Only one work is done at a time: a new one waits for the one before, unless that was stopped.

import { sent } from './traces.js';
import { core } from './where.js';

/** @typedef {{photo: Blob, settings: object}} Sheet a photo and its settings, as package wire has them */

/** The words for a reader of where photos go. */
export const whereWords = core === 'server'
  ? 'The photo goes to the program on this address and nowhere else.'
  : 'Everything is done in this browser: no photo leaves this device.';

const inServer = core === 'server';

/**
 * answer reads a sheet. have is the grid of the pictures that the page has; begin is called with the name of each stage
 * as it begins.
 */
export const answer = (sheet, have, signal, begin) => (inServer ? answerOfServer : answerOfWorker)(sheet, have, signal, begin);

/** file gives one of the files that are kept, by name, or all of them as result.zip, as a Blob. */
export const file = (sheet, name, signal) => (inServer ? fileOfServer : fileOfWorker)(sheet, name, signal);

/** compare lays documents side by side, as package live has them: JSON in, a live.Compared out. */
export const compare = (given, signal) => (inServer ? laidByServer : laidByWorker)('compare', given, signal);

/** check holds a drawing against a display, as package live has them: JSON in, a live.Checked out. */
export const check = (given, signal) => (inServer ? laidByServer : laidByWorker)('check', given, signal);

function post(what, sheet, more, signal, accept) {
  const form = new FormData();
  form.set('photo', sheet.photo, sheet.settings.file || 'photo');
  form.set('settings', JSON.stringify(sent(sheet.settings)));
  for (const [name, text] of Object.entries(more)) form.set(name, text);
  return fetch(what, { method: 'POST', body: form, signal, headers: { Accept: accept } });
}

async function answerOfServer(sheet, have, signal, begin) {
  const response = await post('answer', sheet, { have }, signal, 'application/x-ndjson, application/json');
  const kind = response.headers.get('Content-Type') || '';
  if (kind.startsWith('application/json')) return response.json();
  if (!kind.startsWith('application/x-ndjson')) throw await failure(response);
  let text = '';
  const reader = response.body.pipeThrough(new TextDecoderStream()).getReader();
  for (;;) {
    const { value, done } = await reader.read();
    text += value || '';
    const said = text.split('\n');
    text = said.pop();
    for (const line of said) {
      const told = JSON.parse(line);
      if (!told.stage) return told;
      begin(told.stage);
    }
    if (done) throw new Error('the program ended before it had answered');
  }
}

async function fileOfServer(sheet, name, signal) {
  const response = await post('file', sheet, { name }, signal, '*/*');
  if (!response.ok) throw await failure(response);
  return response.blob();
}

async function laidByServer(what, given, signal) {
  const response = await fetch(what, { method: 'POST', body: given, signal, headers: { 'Content-Type': 'application/json' } });
  if (!response.headers.get('Content-Type')?.startsWith('application/json')) throw await failure(response);
  return response.json();
}

async function failure(response) {
  return new Error((await response.text()).trim() || `the program answered with ${response.status}`);
}

const answerOfWorker = (sheet, have, signal, begin) => inTurn('answer', sheet, have, signal, begin);

const fileOfWorker = async (sheet, name, signal) => new Blob([await inTurn('file', sheet, name, signal, () => {})]);

const nothing = { photo: new Blob([]), settings: {} };
const laidByWorker = (what, given, signal) => inTurn(what, nothing, given, signal, () => {});

let worker = null;
let waiting = Promise.resolve();

function inTurn(...work) {
  const turn = waiting.then(() => inWorker(...work));
  waiting = turn.catch(() => {});
  return turn;
}

async function inWorker(what, sheet, more, signal, begin) {
  signal?.throwIfAborted();
  const photo = new Uint8Array(await sheet.photo.arrayBuffer());
  signal?.throwIfAborted();
  worker ??= new Worker('worker.js');
  return new Promise((resolve, reject) => {
    const end = (then, value) => {
      signal?.removeEventListener('abort', stop);
      if (worker) worker.onmessage = worker.onerror = null;
      then(value);
    };
    const stop = () => {
      worker.terminate(); // the core has one thread, and it is busy
      worker = null;
      end(reject, signal.reason);
    };
    signal?.addEventListener('abort', stop, { once: true });
    worker.onmessage = ({ data }) => {
      if (data.stage) begin(data.stage);
      else if (data.error) end(reject, new Error(data.error));
      else end(resolve, data.value);
    };
    worker.onerror = (event) => {
      worker = null;
      end(reject, new Error(event.message || 'the core could not be started'));
    };
    worker.postMessage({ what, photo, settings: JSON.stringify(sent(sheet.settings)), more });
  });
}
