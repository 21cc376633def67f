// Keeping: files of the leaf on top, and the notebook as one file, saved and opened again.

import { file } from './core.js';
import { found } from './compare.js';
import { $, make } from './dom.js';
import { plain } from './doubts.js';
import { add, book, leaves, on, top, turnTo } from './leaves.js';
import { read, write } from './notebook.js';
import { pack, unpack } from './zip.js';

/** keeping listens to the buttons. */
export function keeping() {
  for (const button of document.querySelectorAll('[data-keep]')) {
    button.addEventListener('click', () => keep(button.dataset.keep));
  }
  $('save').addEventListener('click', saveNotebook);
  on('listed', () => {
    $('kept').textContent = '';
    $('h-keep').textContent = leaves.length > 1 ? `Keep it: ${top?.name}` : 'Keep it';
  });
  $('load').addEventListener('change', async () => {
    await openNotebook([...$('load').files]);
    $('load').value = '';
  });
}

async function keep(what) {
  $('kept').textContent = 'Making it …';
  try {
    const base = fileName(top.name) || 'reading';
    save(await file({ ...top, settings: { ...headed(), ...top.settings } }, what), what === 'result.zip' ? `${base}.zip` : `${base}-${what}`);
  } catch (error) {
    $('kept').textContent = `That did not work: ${plain(error.message.replace(/^--[\w-]+: /, ''))}.`;
  }
}

// headed is the heading of a page that is handed in, of what is said of the notebook.
function headed() {
  const said = [book.title, book.by, book.date].filter(Boolean);
  return said.length ? { title: [top.name, ...said].join(', ') } : {};
}

// fileName leaves out of a name what not every computer takes.
const fileName = (name) => name.replace(/[\\/:*?"<>|\u0000-\u001f]/g, '_').trim();

function save(blob, name) {
  const a = document.createElement('a');
  a.href = URL.createObjectURL(blob);
  a.download = name;
  a.click();
  $('kept').textContent = `${name} is saved; look where this browser puts its downloads.`;
  setTimeout(() => URL.revokeObjectURL(a.href), 60e3);
}

async function saveNotebook() {
  $('kept').textContent = 'Packing it …';
  try {
    save(await pack(await write(book, leaves, found())), 'notebook.zip');
  } catch (error) {
    $('kept').textContent = `That did not work: ${error.message}.`;
  }
}

/** isNotebook says whether a file is to be opened as one. */
export const isNotebook = (f) => /\.(zip|ya?ml)$/i.test(f.name || '');

/** openNotebook puts the photos of a notebook behind those there are: of one ZIP, or of YAML chosen with its photos. */
export async function openNotebook(files) {
  const say = (...parts) => $('opened').replaceChildren(...parts);
  say('Opening it …');
  try {
    const one = files.find(isNotebook);
    if (!one) throw new Error('choose notebook.zip, or a file that ends in .yaml together with its photos');
    const zipped = /\.zip$/i.test(one.name);
    const all = zipped ? await unpack(one) : byName(files);
    const text = await (zipped ? all.get('notebook.yaml') : one).slice(0, 1 << 20).text();
    const { book: head, sheets, faults } = await read(text, zipped ? all : flat(text, all));
    if (faults.length) {
      const items = faults.map((f) => make('li', {}, `line ${f.line}: ${f.reason}. To mend it: ${f.hint}.`));
      $('book').open = true;
      return say(make('p', { textContent: `${one.name} could not be opened:` }), make('ul', {}, ...items));
    }
    await lay(head, sheets);
    say();
  } catch (error) {
    $('book').open = true;
    say(`The notebook could not be opened: ${error.message}.`);
  }
}

const byName = (files) => new Map(files.map((f) => [f.name, f]));

// flat finds the photos of folders, too: a browser tells no folders of files that are chosen.
function flat(text, files) {
  const out = new Map(files);
  for (const [, path] of text.matchAll(/[\s{,](?:file|sketch|readings_file):\s*["']?([^"'\n,}#]*\/[^"'\n,}#]+)/g)) {
    const name = path.trim(), short = name.split('/').at(-1);
    if (files.has(short)) out.set(name, files.get(short));
  }
  return out;
}

// lay makes leaves of sheets. The head of the first notebook stands; a second one only brings its photos.
async function lay(head, sheets) {
  const first = !leaves.length, made = new Map();
  if (first) {
    Object.assign(book, head, { compare: [] });
    for (const key of ['title', 'by', 'date']) $(`book-${key}`).value = book[key];
  }
  for (const sheet of sheets) made.set(sheet, await add(sheet));
  for (const { quantity, of } of head.compare) {
    const members = of || sheets.map((sheet) => ({ sheet, way: '' })); // all of them
    book.compare.push({ quantity, of: members.map((m) => ({ leaf: made.get(m.sheet), way: m.way })) });
  }
  turnTo(made.get(sheets[0]));
}
