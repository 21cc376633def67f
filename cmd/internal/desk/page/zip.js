// One file for a notebook and its photos. What comes in is not trusted: how many files, how large, and what they are called
// is looked at before anything is unpacked.

const most = { packed: 256 << 20, files: 1000, file: 64 << 20, unpacked: 512 << 20 };

const load = async () => {
  await import('./npm/fflate.js');
  return globalThis.fflate;
};

/** pack makes a ZIP of files by name, each a Blob. Photos are packed already, and are only put in. */
export async function pack(files) {
  const zip = await load(), parts = {};
  for (const [name, blob] of files) parts[name] = [new Uint8Array(await blob.arrayBuffer()), { level: /\.(ya?ml|csv|txt)$/.test(name) ? 6 : 0 }];
  return new Blob([zip.zipSync(parts)], { type: 'application/zip' });
}

/** unpack gives the files of a ZIP by name, as Blobs; the notebook's folder is the top. */
export async function unpack(blob) {
  const zip = await load();
  if (blob.size > most.packed) throw new Error(`it is larger than ${most.packed >> 20} MB`);
  let count = 0, size = 0;
  const filter = ({ name, originalSize }) => {
    if (name.endsWith('/') || name.startsWith('__MACOSX/')) return false;
    if (!/^[^\\:\u0000-\u001f]+$/.test(name) || name.split('/').some((p) => ['', '.', '..'].includes(p))) throw new Error(`it has a file “${name.slice(0, 60)}” whose name leads elsewhere`);
    size += originalSize;
    if (++count > most.files || originalSize > most.file || size > most.unpacked) throw new Error('it holds more than a notebook has');
    return true;
  };
  let parts;
  try {
    parts = zip.unzipSync(new Uint8Array(await blob.arrayBuffer()), { filter });
  } catch (error) {
    throw typeof error.code === 'number' ? new Error('it is no whole ZIP: save it again') : error;
  }
  const names = Object.keys(parts);
  const book = names.filter((n) => n.split('/').at(-1) === 'notebook.yaml').sort((a, b) => a.split('/').length - b.split('/').length)[0];
  if (!book) throw new Error('there is no notebook.yaml in it');
  const top = book.slice(0, -'notebook.yaml'.length);
  return new Map(names.filter((n) => n.startsWith(top)).map((n) => [n.slice(top.length), new Blob([parts[n]])]));
}
