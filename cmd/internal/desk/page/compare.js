// The photos side by side: as soon as two leaves have answers, the core lays them beside each other. Leaves that were
// not read yet, as those of an opened notebook, are read one after the other while nothing else is asked.

import { answer, compare } from './core.js';
import { $, make } from './dom.js';
import { leaves, on, tell, top } from './leaves.js';

const pause = 400; // ms after the last change, so that typing is not held up

let timer = 0;
let work = null; // AbortController of the comparison under way
let shown = []; // the answers that are laid side by side
let same = []; // {quantity, of: leaves}: what was compared

/** comparing listens to the leaves. */
export function comparing() {
  for (const what of ['answered', 'listed', 'emptied']) on(what, later);
}

/** found is what was compared: {quantity, of: leaves}. */
export const found = () => same;

function later() {
  clearTimeout(timer);
  timer = setTimeout(look, pause);
}

async function look() {
  const unread = top?.answer && leaves.find((l) => !l.answer);
  if (unread) await readQuietly(unread);
  const ready = leaves.filter((l) => l.answer?.status === 200);
  const now = ready.flatMap((l) => [l.answer, l.name, l.kept.instrument]);
  if (now.length === shown.length && now.every((x, i) => x === shown[i])) return;
  work?.abort();
  if (ready.length < 2) {
    shown = same = [];
    $('side').hidden = true;
    return;
  }
  const mine = work = new AbortController();
  try {
    const got = await compare(JSON.stringify({
      documents: ready.map(documentOf), instruments: ready.map((l) => l.kept.instrument || ''),
    }), mine.signal);
    shown = now;
    const of = (q) => ready.filter((_, i) => q.values.some((v) => v.source === letter(i)));
    same = got.comparison?.same.map((q) => ({ quantity: q.quantity, of: of(q) })) ?? [];
    show(got, ready);
  } catch (error) {
    if (error.name !== 'AbortError') say(`They could not be compared: ${error.message}.`);
  }
}

// documentOf is an answer's document under the name of its leaf.
function documentOf(leaf) {
  const d = leaf.answer.document;
  return { ...d, photo: { ...d.photo, file: leaf.name } };
}

async function readQuietly(leaf) {
  try {
    const got = await answer(leaf, '', undefined, () => {});
    if (leaf.answer) return; // it came on top meanwhile
    leaf.answer = got;
    leaf.pictures = got.pictures || [];
    tell('answered', leaf);
  } catch {
    // it is read again, and says why not, when it comes on top
  }
}

const letter = (i) => String.fromCharCode(65 + i);

// say tells a sentence, which is heard too, and shows parts below it.
function say(words, ...parts) {
  $('side').hidden = false;
  $('side-short').textContent = words;
  $('side-says').replaceChildren(...parts);
}

function show(got, ready) {
  if (got.status === 422) {
    const kinds = ready.map((l) => `${l.name}: ${l.answer.document.signal || 'nothing worked out'}`).join(', ');
    return say(`These photos have nothing in common to compare (${kinds}). It takes photos of one kind of signal, `
      + 'with volts and time a box for each.');
  }
  if (!got.comparison) return say(`${capital(got.error.reason)}. To compare them: ${got.error.hint}.`);
  const page = new DOMParser().parseFromString(got.page, 'text/html'), parts = [];
  for (const s of page.querySelectorAll('main > section:not(.care)')) {
    for (const e of s.querySelectorAll('[id]')) e.id = `side-${e.id}`; // the answer has some of them
    for (const h of s.querySelectorAll('h2')) h.replaceWith(make('h3', { id: h.id }, ...h.childNodes));
    s.setAttribute('aria-labelledby', `side-${s.getAttribute('aria-labelledby')}`);
    parts.push(folded(document.importNode(s, true)));
  }
  say(page.querySelector('.short')?.textContent || 'They have nothing that must be the same in all.', ...parts);
}

// folded leaves the verdicts and the figures of a quantity in sight; tables unfold, as do all but one of those that
// agree.
function folded(s) {
  const list = s.querySelector('.verdicts'), table = s.querySelector('table');
  if (!table) return s;
  if (!list) {
    const head = s.querySelector('h3');
    s.replaceChildren(fold(head.textContent, ...[...s.childNodes].filter((n) => n !== head)));
    s.removeAttribute('aria-labelledby');
    return s;
  }
  const same = [...list.querySelectorAll('li:not(.apart)')].slice(0, -1);
  if (same.length > 1) list.after(fold(`${same.length} more that agree`,
    make('ul', { className: list.className }, ...same)));
  s.append(fold('The numbers', table, ...s.querySelectorAll(':scope > p.quiet')));
  return s;
}

function fold(name, ...parts) {
  const was = [...$('side-says').querySelectorAll('details[open] > summary')].some((e) => e.textContent === name);
  return make('details', { className: 'fold-up', open: was }, make('summary', { textContent: name }), ...parts);
}

const capital = (s) => s.slice(0, 1).toUpperCase() + s.slice(1);
