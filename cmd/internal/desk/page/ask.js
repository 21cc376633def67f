// Asking the core for the answer to the leaf on top, and saying what it does while it works. Only the last question counts: a
// new one stops the one before.

import { answer } from './core.js';
import { $ } from './dom.js';
import { tell, top } from './leaves.js';
import { slipOf } from './slips.js';

const patience = 300; // ms before it is said that the core works

const stages = {
  photo: 'Opening the photo', graticule: 'Looking for the grid', upright: 'Seeing which way is up',
  trace: 'Following the trace', settings: 'Looking for the settings', calibrate: 'Making volts and seconds',
  analysis: 'Working out the numbers', readings: 'Laying the readings beside it',
};

let work = null; // AbortController of what is under way

/** asking says whether an answer is under way. */
export const asking = () => work !== null;

/** ask asks the core about the leaf on top. */
export async function ask() {
  work?.abort();
  const mine = work = new AbortController();
  const leaf = top, begun = performance.now();
  let stage = 'Reading the photo', words = '';
  const say = () => { $('busy-says').textContent = `${stage} … ${((performance.now() - begun) / 1000).toFixed(0)} s`; };
  $('stop').textContent = 'Stop';
  const clock = setTimeout(() => { say(); $('busy').hidden = false; }, leaf.answer ? patience : 0);
  const ticks = setInterval(say, 1000);
  try {
    const got = await answer(leaf, leaf.answer?.grid || '', mine.signal, (name) => {
      stage = stages[name] || name;
      say();
    });
    if (got.document.error?.kind === 'setting' && leaf.answer) { // what was read stands until the slip is mended
      if (leaf === top) {
        slipOf(got.document.error);
        $('answer').classList.add('stale');
      }
      return;
    }
    leaf.answer = got;
    if (got.pictures) leaf.pictures = got.pictures;
    tell('answered', leaf);
    performance.measure('answered', { start: begun });
  } catch (error) {
    if (work === mine && leaf === top) words = error.name === 'AbortError' ? 'Stopped.' : `${error.message}.`;
  } finally {
    clearTimeout(clock);
    clearInterval(ticks);
    if (work === mine) {
      work = null;
      paused(words);
    }
  }
}

/** stop ends what is under way, or, where it was ended, begins again. */
export function stop() {
  if (!work) return ask();
  work.abort();
}

// paused says that nothing is under way and what was asked for is not answered.
function paused(words) {
  $('busy').hidden = !words;
  $('busy-says').textContent = words;
  $('stop').textContent = words ? 'Read it' : 'Stop';
}
