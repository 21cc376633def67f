// The sections of the page that is kept, in the order of a first look: the answer and what is to be looked at; the graphs;
// the rest to be unfolded.

import { $, make } from './dom.js';

const open = ['h-error', 'h-doubts', 'h-agree', 'h-graphs', 'h-beside'];
const folded = ['h-results', 'h-readings', 'h-what-if', 'h-notes', 'h-settings', 'h-budgets'];

/** sections shows the page that is kept, in its parts. */
export function sections(html) {
  const page = new DOMParser().parseFromString(html, 'text/html');
  if (!$('page-style')) {
    document.head.prepend(make('style', { id: 'page-style', textContent: page.querySelector('style').textContent }));
  }
  const parts = [];
  const short = page.querySelector('.short');
  if (short) parts.push(make('p', { className: 'first', textContent: short.textContent }));
  const section = (id) => page.querySelector(`section[aria-labelledby=${id}]`);
  for (const id of open) if (section(id)) parts.push(document.importNode(section(id), true));
  for (const part of parts) if (part.getAttribute('aria-labelledby') === 'h-agree') agreement(part);
  const wasOpen = new Set([...$('answer').querySelectorAll('details.fold-up[open]')].map((e) => e.dataset.of));
  for (const id of folded) {
    const s = section(id);
    if (!s) continue;
    const summary = make('summary', { textContent: s.querySelector('h2').textContent });
    s.querySelector('h2').remove();
    const rest = [...s.childNodes].map((n) => document.importNode(n, true));
    const details = make('details', { className: 'fold-up', open: wasOpen.has(id) }, summary, ...rest);
    details.dataset.of = id;
    parts.push(details);
  }
  $('answer').replaceChildren(...parts);
}

// agreement leaves the last sentence of those that agree in sight, which is about all ways together; the others unfold.
function agreement(part) {
  const list = part.querySelector('ul'), same = [...list.querySelectorAll(':scope > li:not(.apart)')];
  if (same.length < 3) return;
  const summary = make('summary', { textContent: `${same.length - 1} more that agree` });
  part.append(make('details', {}, summary, make('ul', { className: list.className }, ...same.slice(0, -1))));
}
