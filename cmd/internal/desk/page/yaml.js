// YAML as a tree whose parts know where they stand, and faults with their line. Anchors, aliases, tags and deep nesting
// are refused, and all values are texts: nothing in a file can become anything else.

const most = { text: 256 << 10, depth: 7, faults: 20 };

const load = () => import('./npm/js-yaml.js');

/** Fault is what is wrong with a notebook, where, and what to do about it. */
class Fault {
  constructor(text, at, reason, hint) {
    const before = text.slice(0, at).split('\n');
    Object.assign(this, { line: before.length, column: before.at(-1).length + 1, reason, hint });
  }
}

/** parse gives the tree of a text: {kind: 'block' | 'list' | 'text', at, entries | items | text}; null with faults. */
export async function parse(text, faults) {
  const yaml = await load();
  const fault = (at, reason, hint) => { faults.push(new Fault(text, at, reason, hint)); };
  if (text.length > most.text) return void fault(0, 'the notebook is too large',
    'keep tables of readings in files of their own');
  let events;
  try {
    events = yaml.parseEvents(text, { maxDepth: most.depth });
  } catch (error) {
    const at = Math.max(error.mark?.position ?? 0, 0);
    return void fault(at, `this is not right as YAML: ${error.reason || error.message}`,
      'look at this line and the one above: spaces before keys, colons, quotes');
  }
  const is = yaml.EVENT_ID, open = [], documents = [];
  for (const e of events) {
    if (e.type === is.DOCUMENT) { open.push({ items: documents }); continue; }
    if (e.type === is.POP) { open.pop(); continue; }
    const at = Math.max(e.start ?? e.valueStart ?? e.anchorStart ?? 0, 0);
    if (e.type === is.ALIAS || e.anchorStart >= 0) return void fault(at,
      'anchors (&) and aliases (*) are not read here', 'write the value out');
    if (e.tagStart >= 0) return void fault(at, 'tags (!) are not read here',
      'leave the tag out: every value is a text');
    const node = e.type === is.SCALAR ? scalar(yaml, text, e, at)
      : e.type === is.MAPPING ? { kind: 'block', at, entries: [] } : { kind: 'list', at, items: [] };
    const parent = open.at(-1);
    if (parent.items) parent.items.push(node);
    else if (parent.key) { parent.entries.push([parent.key, node]); parent.key = null; } else parent.key = node;
    if (e.type !== is.SCALAR) open.push(node);
  }
  if (documents.length !== 1) return void fault(0,
    documents.length ? 'there is more behind the notebook’s end' : 'the notebook is empty', 'keep one notebook in one file');
  return documents[0];
}

// scalar is a text; nothing stands for itself where nothing is written.
function scalar(yaml, text, e, at) {
  const value = e.valueStart < 0 ? '' : yaml.getScalarValue(text, e);
  const none = e.style === yaml.SCALAR_STYLE.PLAIN && /^(~|null|Null|NULL)$/.test(value);
  return { kind: 'text', at, text: none ? '' : value };
}

/** print writes values as YAML. */
export const print = async (value) => (await load()).dump(value, { lineWidth: -1, noRefs: true });

/** A Reader takes a tree apart, and tells what is wrong. */
export class Reader {
  constructor(text, faults) { Object.assign(this, { text, faults }); }

  fault(node, reason, hint) {
    if (this.faults.length < most.faults) this.faults.push(new Fault(this.text, node.at, reason, hint));
  }

  /** block gives the values of a block of keys by name; what is written in words is told, as "a photo". */
  block(node, what, names) {
    const out = new Map();
    if (node.kind === 'text' && node.text === '') return out;
    if (node.kind !== 'block') {
      this.fault(node, `${what} is a block of keys`, 'write it as lines of key: value');
      return out;
    }
    for (const [key, value] of node.entries) {
      const name = key.text;
      if (!names.includes(name)) {
        const near = nearest(name || '', names);
        this.fault(key, `${what} has no key “${short(name)}”`,
          near ? `write ${near}` : `the keys here are ${names.join(', ')}`);
      } else if (out.has(name)) this.fault(key, `${name} is given twice`, 'leave one of them out');
      else out.set(name, Object.assign(value, { key }));
    }
    return out;
  }

  list(node, what, longest) {
    if (node.kind === 'text' && node.text === '') return [];
    if (node.kind !== 'list') this.fault(node, `${what} are a list`, 'begin each with a dash and a space');
    else if (node.items.length <= longest) return node.items;
    else this.fault(node, `there are more than ${longest} ${what}`, 'make two notebooks of it');
    return [];
  }

  /** line gives a text of one line, '' where none is given. */
  line(node, longest = 500) {
    if (!node) return '';
    if (node.kind !== 'text') {
      this.fault(node, 'here stands a text or a number', 'write one value behind the colon');
      return '';
    }
    const text = node.text.trim();
    if (text.length > longest) this.fault(node, 'this text is too long', `give at most ${longest} characters`);
    else if (!/[\u0000-\u001f\u007f-\u009f]/.test(text)) return text;
    else this.fault(node, 'this text has line breaks or signs that are not printed', 'write it in one line');
    return '';
  }
}

const short = (text) => (text === undefined ? '' : [...text].slice(0, 40).join(''));

/** nearest gives the name that was most likely meant, '' if none is near. */
export function nearest(name, names) {
  let best = '', least = Infinity;
  for (const n of names) {
    const d = distance(plain(name), plain(n));
    if (d <= Math.max(1, n.length / 3) && d < least) [best, least] = [n, d];
  }
  return best;
}

const plain = (s) => s.slice(0, 80).toLowerCase().replace(/^-+/, '').replace(/[- ]/g, '_');

// distance counts the letters to be put in, left out, changed, or swapped with their neighbour (optimal string
// alignment).
function distance(a, b) {
  let before = [], last = Array.from({ length: b.length + 1 }, (_, k) => k);
  for (let i = 0; i < a.length; i++) {
    const row = [i + 1];
    for (let k = 0; k < b.length; k++) {
      row.push(Math.min(last[k] + (a[i] !== b[k]), last[k + 1] + 1, row[k] + 1));
      if (i && k && a[i] === b[k - 1] && a[i - 1] === b[k]) row[k + 1] = Math.min(row[k + 1], before[k - 1] + 1);
    }
    [before, last] = [last, row];
  }
  return last[b.length];
}
