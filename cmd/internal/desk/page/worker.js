// A worker that holds the core as WebAssembly. It answers one message after the other.

importScripts('wasm_exec.js');

const ready = (async () => {
  const go = new Go();
  const { instance } = await WebAssembly.instantiateStreaming(unpacked(await fetch('core.wasm.gz')), go.importObject);
  go.run(instance); // sets quadrilleAnswer and quadrilleFile, and goes on for ever
})();

// unpacked is the core as a response of its own: packed by the folder's maker, so that any host may serve it.
function unpacked(response) {
  if (!response.ok) throw new Error(`the core could not be loaded: ${response.status}`);
  const body = response.body.pipeThrough(new DecompressionStream('gzip'));
  return new Response(body, { headers: { 'Content-Type': 'application/wasm' } });
}

onmessage = async ({ data }) => {
  try {
    await ready;
    const value = data.what === 'answer'
      ? JSON.parse(quadrilleAnswer(data.photo, data.settings, data.more, (stage) => postMessage({ stage })))
      : data.what === 'compare' ? JSON.parse(quadrilleCompare(data.more))
      : data.what === 'check' ? JSON.parse(quadrilleCheck(data.more))
      : quadrilleFile(data.photo, data.settings, data.more);
    postMessage(typeof value === 'string' ? { error: value } : { value });
  } catch (error) {
    postMessage({ error: String(error.message || error) });
  }
};
