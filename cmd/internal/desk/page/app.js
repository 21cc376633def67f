// The page: a notebook with one or more leaves. Whatever is changed goes into the settings of the leaf on top, and the
// core answers again. This file starts the modules and ties them together:
//
//	choose -> leaves -> ask -> photo, settings, answer -> compare, check -> keep

import { sections } from './answer.js';
import { ask, asking, stop } from './ask.js';
import { checking } from './check.js';
import { choosing } from './choose.js';
import { comparing } from './compare.js';
import { whereWords } from './core.js';
import { $ } from './dom.js';
import { keeping } from './keep.js';
import { change, naming, on, top, undo } from './leaves.js';
import { goOn, nextIs, nexts } from './next.js';
import { draw, lay, moveLine, toCorners, tools } from './photo.js';
import { choose, fields, fill, focusField, showFields } from './settings.js';
import { slipOf } from './slips.js';
import { nameIn, shownOf, typed } from './traces.js';

if (location.search) history.replaceState(null, '', location.pathname); // the key is a cookie now, and need not be seen
$('where').textContent = whereWords;
choosing();
fields(moveLine, () => goOn(asking()));
nexts();
tools();
keeping();
naming();
comparing();
checking();
$('stop').addEventListener('click', stop);
$('undo').addEventListener('click', undo);
document.addEventListener('keydown', (e) => {
  if (!(e.ctrlKey || e.metaKey) || e.key !== 'z' || /^(INPUT|TEXTAREA)$/.test(document.activeElement?.tagName)) return;
  e.preventDefault();
  undo();
});

on('turned', (leaf) => {
  $('samples').open = false;
  fill();
  lay(leaf);
  $('answer').replaceChildren();
  $('first').hidden = $('keep').hidden = true;
  nextIs(null);
  if (leaf.answer) show();
  else ask();
});
on('changed', () => {
  fill();
  ask();
});
on('emptied', () => {
  for (const id of ['view', 'ask', 'first', 'keep', 'busy']) $(id).hidden = true;
  $('answer').replaceChildren();
  nextIs(null);
  document.body.classList.remove('begun');
});
on('answered', (leaf) => { if (leaf === top) show(); });

// What the buttons beside doubts do.
const doing = {
  corners: () => toCorners(false),
  count: () => toCorners(true),
  field: focusField,
  trace: choose,
  set: (settings) => change(typed(top.settings, shownOf(top), settings)),
  part: () => {
    $('end-from')?.scrollIntoView({ block: 'center' });
    $('end-from')?.focus({ preventScroll: true });
  },
  others: () => top.answer.document.traces.map((t) => t.name)
    .filter((name) => name !== nameIn(top.answer.document, shownOf(top))),
  turned: () => Number(top.settings.turn ?? top.answer.document.photo.turned ?? 0),
};

function show() {
  const got = top.answer, d = got.document;
  $('answer').classList.remove('stale');
  $('keep').hidden = got.status !== 200;
  $('undo').disabled = !top.past.length;
  draw();
  if (got.grid !== '') showFields(d);
  slipOf(d.error);
  sections(got, doing);
  nextIs(got);
}

// On paper the answer is unfolded but for its longest parts, unless a person unfolded them.
let unfolded = [];
addEventListener('beforeprint', () => {
  unfolded = [...$('answer').querySelectorAll('details:not([open], [data-of=h-budgets], [data-of=h-what-if])')];
  for (const d of unfolded) d.open = true;
});
addEventListener('afterprint', () => { for (const d of unfolded) d.open = false; });

if ('serviceWorker' in navigator && whereWords.includes('browser')) navigator.serviceWorker.register('offline.js');
