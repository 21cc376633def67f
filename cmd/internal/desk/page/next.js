// What comes next, told at the lower rim of the window while it is out of sight below: the settings that are not known
// yet, then the answer. A person who typed on a phone would not see that it came.

import { $ } from './dom.js';
import { focusField } from './settings.js';

const covered = 64; // px of the window that the bar covers

let does = () => {}; // brings a person there
let aim = null; // the element
let wanted = false; // whether a person goes there as soon as it is known

const seen = new IntersectionObserver((entries) => {
  const { target, isIntersecting, boundingClientRect: at } = entries.at(-1);
  if (target === aim) $('next').hidden = isIntersecting || at.height === 0;
}, { rootMargin: `1000000px 0px -${covered}px 0px` }); // all above counts as seen, as a jump over it is no crossing

/** nexts listens to the bar. */
export function nexts() {
  $('next').addEventListener('click', () => does());
  $('form').addEventListener('input', () => { wanted = false; });
}

/** nextIs tells what comes after an answer; none takes the bar away. */
export function nextIs(got) {
  const unknown = got?.document.doubt_kinds?.find((r) => r.kind === 'reading.scales_unknown')?.values;
  if (!got) point(null);
  else if (unknown && !$('ask').hidden) {
    const { volts, seconds } = unknown, field = volts ? 'volts_per_box' : 'time_per_box';
    const what = volts && seconds ? 'volts and time a box' : volts ? 'volts a box' : 'time a box';
    point($('form').elements[field], `Next: ${what}`, () => focusField(field));
  } else if ($('first').hidden) point($('answer').firstElementChild, 'What to do about it');
  else point($('first'), atFirst());
  if (wanted) goOn();
}

/** goOn brings a person to what comes next; later means once the answer is there. */
export function goOn(later = false) {
  wanted = later;
  if (!later && aim && !inSight(aim)) does();
}

function point(target, words, act = () => bring(target)) {
  seen.disconnect();
  aim = target;
  does = act;
  $('next').hidden = true;
  if (!target) return;
  $('next').textContent = `${words} ↓`;
  seen.observe(target);
}

function inSight(e) {
  const r = e.getBoundingClientRect();
  return r.top >= 0 && r.top < innerHeight - covered;
}

function bring(e) {
  document.activeElement?.blur(); // the keyboard of a phone goes
  if (e.id) e.focus({ preventScroll: true });
  e.scrollIntoView();
}

// atFirst is the number at first sight, and how many doubts stand beside it.
function atFirst() {
  const [name, value] = ['.of', 'strong'].map((s) => $('numbers').querySelector(s)?.textContent || '');
  const doubts = $('answer').querySelectorAll('[aria-labelledby=h-doubts] > ul > li').length;
  const look = doubts ? ` · ${doubts === 1 ? 'a doubt' : `${doubts} doubts`}` : '';
  return `${name} ${value}${look}`;
}
