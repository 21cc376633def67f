// The answer: at first sight a number for each trace with its uncertainty, one sentence, and one picture; then what the page
// that is kept has, to be unfolded. Words and numbers are those of that page, which the core made.

import { $, make } from './dom.js';
import { plain, withButtons } from './doubts.js';
import { point } from './graph.js';

const folded = ['h-agree', 'h-results', 'h-readings', 'h-what-if', 'h-notes', 'h-settings', 'h-budgets'];
const graphOf = 'svg[aria-label^="Voltage against time"]'; // of the figures, the one with the fit

/** sections shows an answer; doing has what the buttons of its doubts do. */
export function sections(got, doing) {
  const page = new DOMParser().parseFromString(got.page, 'text/html'), d = got.document;
  if (!$('page-style')) {
    document.head.prepend(make('style', { id: 'page-style', textContent: page.querySelector('style').textContent }));
  }
  const section = (id) => {
    const s = page.querySelector(`section[aria-labelledby=${id}]`);
    return s && document.importNode(s, true);
  };
  first(page.querySelector('.short'), d);
  const parts = [];
  const error = section('h-error'), doubts = section('h-doubts'), graphs = section('h-graphs'), beside = section('h-beside');
  if (error) parts.push(inWords(error, d, doing));
  if (doubts) {
    withButtons(doubts.querySelector('ul'), d, doing);
    parts.push(doubts);
  }
  const graph = graphs?.querySelector(graphOf)?.closest('figure');
  if (graph) {
    foldFormulas(graph.querySelector('figcaption'));
    const tools = got.graph && point(graph, got);
    parts.push(make('section', { className: 'graph' }, make('h2', { textContent: 'The trace' }), graph, ...(tools ? [tools] : [])));
  }
  if (beside) parts.push(beside);
  const wasOpen = new Set([...$('answer').querySelectorAll('details.fold-up[open]')].map((e) => e.dataset.of));
  const fold = (id, title, ...children) => {
    const details = make('details', { className: 'fold-up', open: wasOpen.has(id) }, make('summary', { textContent: title }), ...children);
    details.dataset.of = id;
    parts.push(details);
  };
  for (const id of folded) {
    const s = section(id);
    if (!s || id === 'h-settings' && !d.graticule) continue;
    const title = s.querySelector('h2');
    title.remove();
    if (id === 'h-notes') withButtons(s.querySelector('ul'), d, doing);
    if (id === 'h-agree' && s.querySelector('.apart')) { // its causes are to be seen
      s.prepend(title);
      parts.splice(doubts ? 1 : 0, 0, s);
      continue;
    }
    fold(id, title.textContent, ...s.childNodes);
    if (id === 'h-agree' && graphs?.querySelector('figure')) fold('h-graphs', graph ? 'More graphs' : 'Graphs', ...graphs.querySelectorAll('.graphs'));
  }
  if (!parts.some((p) => p.dataset.of === 'h-graphs') && graphs?.querySelector('figure')) {
    fold('h-graphs', graph ? 'More graphs' : 'Graphs', ...graphs.querySelectorAll('.graphs'));
  }
  const focused = $('answer').contains(document.activeElement) ? document.activeElement.id : '';
  $('answer').replaceChildren(...parts);
  if (focused) $(focused)?.focus({ preventScroll: true });
}

// foldFormulas leaves the first line of a caption in sight; what was fitted, a line a curve, unfolds where it is narrow.
function foldFormulas(caption) {
  const parts = [...caption.childNodes], at = parts.findIndex((n) => n.nodeName === 'BR');
  if (at < 0) return;
  const lines = parts.slice(at + 1), several = lines.some((n) => n.nodeName === 'BR');
  const was = $('answer').querySelector('.formulas');
  parts[at].remove();
  caption.append(make('details', { className: 'formulas', open: was ? was.open : matchMedia('(min-width: 64rem)').matches },
    make('summary', { textContent: several ? 'The fitted curves' : 'The fitted curve' }), ...lines));
}

// first shows the numbers of the first sight, a group for each trace, and the sentence.
function first(line, d) {
  const told = line ? line.textContent.split('; ') : [];
  const several = d.traces?.filter((t) => t.chosen).length > 1;
  const groups = [], pair = d.results?.find((r) => r.traces.length > 1); // what two traces give together comes last
  for (const text of told) {
    let [, about, rest] = several && text.match(/^([^:]{1,20}): (.*)$/) || [null, '', text];
    if (pair && text.startsWith(pair.quantity.replaceAll('_', ' '))) about = pair.traces.join(' and ');
    if (about || !groups.length) groups.push({ about, texts: [] });
    groups.at(-1).texts.push(rest);
  }
  $('numbers').replaceChildren(...groups.map(({ about, texts }) => {
    const group = make('p', { className: 'number' });
    if (about) {
      const swatch = make('span', { className: 'swatch' });
      swatch.style.background = d.traces.find((t) => t.name === about)?.colour || 'none';
      group.append(make('span', { className: 'about' }, ...(about.length === 1 ? [swatch] : []), ` ${about}`));
    }
    const [, name, value] = texts[0].match(/^(.*?) (\(?[−\d].*)$/) || [null, '', texts[0]];
    group.append(make('span', { className: 'of', textContent: name }), ' ', make('strong', { textContent: value.replaceAll(' ', '\u00a0') }));
    if (texts.length > 1) group.append(make('span', { className: 'quiet', textContent: texts.slice(1).join('; ') }));
    return group;
  }));
  const apart = d.comparisons?.find((c) => !c.agree) || d.comparisons?.at(-1);
  $('sentence').textContent = apart ? short(apart.says) : d.signal_from && told.length ? kindOf(d) : '';
  $('sentence').className = apart ? (apart.agree ? 'agrees' : 'differs') : '';
  $('first').hidden = !told.length;
}

// kindOf says what the signal was taken for; by how much that is the best is told where the settings are.
const kindOf = (d) => (d.signal_from === 'given' ? `Read as you said: ${d.signal}.` : `The trace was ${d.signal_from.split(': ')[0]}.`);

// short leaves the statistics of a verdict to its list.
const short = (says) => says.replace(/:? \(?χ² = [\d.]+ for \d+ degrees? of freedom\)?/, '');

// inWords is the section of an error in the page's words, with a button where there is something to do.
function inWords(section, d, doing) {
  for (const p of section.querySelectorAll('p')) {
    const words = plain(p.lastChild.textContent).replace(/^[a-z]+: /, ''); // the stage that it ended at
    p.lastChild.textContent = p.children.length ? words : words[0].toUpperCase() + words.slice(1);
  }
  if (d.error?.kind !== 'graticule') return section;
  const [why, what] = section.querySelectorAll('p');
  if (what) why.before(what); // first what to do, then why
  why.className = 'quiet';
  const button = make('button', { type: 'button', textContent: 'Put the corners on it' });
  button.addEventListener('click', () => doing.corners());
  why.before(make('p', {}, button));
  return section;
}
