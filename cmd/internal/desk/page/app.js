// The page: a notebook with one or more leaves. Whatever is changed goes into the settings of the leaf on top, and the core
// answers again. This file starts the modules and ties them together:
//
//	choose -> leaves -> ask -> photo, settings, answer -> keep

import { sections } from './answer.js';
import { ask, stop } from './ask.js';
import { choosing } from './choose.js';
import { whereWords } from './core.js';
import { $ } from './dom.js';
import { keeping } from './keep.js';
import { on, top, undo } from './leaves.js';
import { draw, ground, lay, tools } from './photo.js';
import { fields, fill, showFields } from './settings.js';
import { slipOf } from './slips.js';

$('where').textContent = whereWords;
choosing();
fields(ground);
tools();
keeping();
$('stop').addEventListener('click', stop);
$('undo').addEventListener('click', undo);
document.addEventListener('keydown', (e) => {
  if (!(e.ctrlKey || e.metaKey) || e.key !== 'z' || /^(INPUT|TEXTAREA)$/.test(document.activeElement?.tagName)) return;
  e.preventDefault();
  undo();
});

on('turned', (leaf) => {
  fill();
  lay(leaf);
  $('answer').replaceChildren();
  if (leaf.answer) show();
  else ask();
});
on('changed', () => {
  fill();
  ask();
});
on('answered', (leaf) => { if (leaf === top) show(); });

function show() {
  const got = top.answer, d = got.document;
  $('answer').classList.remove('stale');
  $('keep').hidden = got.status !== 200;
  $('undo').disabled = !top.past.length;
  draw();
  if (got.grid !== '') showFields(d);
  slipOf(d.error);
  sections(got.page);
}

if ('serviceWorker' in navigator && whereWords.includes('browser')) navigator.serviceWorker.register('offline.js');
