// One file for a notebook and its photos: a ZIP (PKWARE's APPNOTE, 4.3), written without compression, as photos are
// packed already, and read with or without (RFC 1951, by the browser). What comes in is not trusted: how many files,
// how large, and what they are called is looked at before anything is unpacked, and nothing may unpack to more than it
// says.

const most = { packed: 256 << 20, files: 1000, file: 64 << 20, unpacked: 512 << 20 };
const local = 0x04034b50, central = 0x02014b50, end = 0x06054b50;
const utf8 = 0x800; // the flag of names in UTF-8
const day = 0x21; // 1 January 1980: the same notebook gives the same bytes

/** pack makes a ZIP of files by name, each a Blob. */
export async function pack(files) {
  const parts = [], list = [];
  let at = 0;
  for (const [name, blob] of files) {
    const letters = new TextEncoder().encode(name);
    const about = [20, utf8, 0, 0, day, [await crc(blob)], [blob.size], [blob.size], letters.length, 0];
    const head = fields([local], ...about);
    parts.push(head, letters, blob);
    list.push(fields([central], 20, ...about, 0, 0, 0, [0], [at]), letters);
    at += head.length + letters.length + blob.size;
  }
  if (at > most.packed || files.size > most.files) throw new Error(`the photos are larger than ${most.packed >> 20} MB together`);
  const size = list.reduce((n, p) => n + p.length, 0);
  return new Blob([...parts, ...list, fields([end], 0, 0, files.size, files.size, [size], [at], 0)],
    { type: 'application/zip' });
}

// fields are numbers of two bytes, in brackets of four, the low byte first.
function fields(...numbers) {
  const out = [];
  for (const n of numbers) {
    const [wide] = Array.isArray(n) ? n : [], v = wide ?? n;
    out.push(v & 255, v >>> 8 & 255, ...(wide === undefined ? [] : [v >>> 16 & 255, v >>> 24 & 255]));
  }
  return Uint8Array.from(out);
}

const table = Uint32Array.from({ length: 256 }, (_, n) => {
  for (let k = 0; k < 8; k++) n = n & 1 ? n >>> 1 ^ 0xedb88320 : n >>> 1;
  return n;
});

async function crc(blob) {
  let c = -1;
  for (const b of new Uint8Array(await blob.arrayBuffer())) c = c >>> 8 ^ table[(c ^ b) & 255];
  return ~c >>> 0;
}

/** unpack gives the files of a ZIP by name, as Blobs; the notebook's folder is the top. */
export async function unpack(blob) {
  if (blob.size > most.packed) throw new Error(`it is larger than ${most.packed >> 20} MB`);
  const all = new DataView(await blob.arrayBuffer()), found = new Map();
  let size = 0;
  for (const f of directory(all)) {
    if (f.name.endsWith('/') || f.name.startsWith('__MACOSX/')) continue;
    if (/[\\:\u0000-\u001f]/.test(f.name) || f.name.split('/').some((p) => ['', '.', '..'].includes(p))) {
      throw new Error(`it has a file “${f.name.slice(0, 60)}” whose name leads elsewhere`);
    }
    if (found.has(f.name)) throw new Error(`it has the file “${f.name.slice(0, 60)}” twice`);
    size += f.size;
    if (found.size === most.files || f.size > most.file || size > most.unpacked) {
      throw new Error('it holds more than a notebook has');
    }
    found.set(f.name, f);
  }
  const deep = (n) => n.split('/').length;
  const books = [...found.keys()].filter((n) => n.split('/').at(-1) === 'notebook.yaml');
  const book = books.sort((a, b) => deep(a) - deep(b))[0];
  if (!book) throw new Error('there is no notebook.yaml in it');
  const top = book.slice(0, -'notebook.yaml'.length), out = new Map();
  for (const [name, f] of found) if (name.startsWith(top)) out.set(name.slice(top.length), await content(blob, f));
  return out;
}

const torn = () => new Error('it is no whole ZIP: save it again');

// directory lists the files that the end of a ZIP names.
function directory(all) {
  let at = all.byteLength - 22;
  while (at >= 0 && at > all.byteLength - 65557 && all.getUint32(at, true) !== end) at--;
  if (at < 0 || all.getUint32(at, true) !== end) throw torn();
  const list = [];
  try {
    const count = all.getUint16(at + 10, true);
    at = all.getUint32(at + 16, true);
    for (let k = 0; k < count; k++) {
      const short = (o) => all.getUint16(at + o, true), long = (o) => all.getUint32(at + o, true);
      if (long(0) !== central || short(8) & 1 || ![0, 8].includes(short(10))) throw torn();
      const from = long(42), letters = new Uint8Array(all.buffer, at + 46, short(28));
      const begin = from + 30 + all.getUint16(from + 26, true) + all.getUint16(from + 28, true);
      const f = { name: new TextDecoder().decode(letters), packed: short(10) === 8, begin, end: begin + long(20),
        size: long(24) };
      const whole = f.packed || f.end - f.begin === f.size;
      if (all.getUint32(from, true) !== local || f.end > all.byteLength || !whole) throw torn();
      list.push(f);
      at += 46 + short(28) + short(30) + short(32);
    }
  } catch {
    throw torn(); // a place that is outside of it, too
  }
  return list;
}

async function content(blob, f) {
  const part = blob.slice(f.begin, f.end);
  if (!f.packed) return part;
  const out = [], reader = part.stream().pipeThrough(new DecompressionStream('deflate-raw')).getReader();
  let size = 0;
  for (;;) {
    const { value, done } = await reader.read().catch(() => { throw torn(); });
    if (done) break;
    size += value.length;
    if (size > f.size) {
      await reader.cancel();
      throw torn();
    }
    out.push(value);
  }
  if (size !== f.size) throw torn();
  return new Blob(out);
}
