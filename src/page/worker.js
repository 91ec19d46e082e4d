'use strict';
// Answers requests with the library in WebAssembly, one at a time. The first message is the library itself, gzipped; every
// other is { id, request } with the request's bytes. After a fault of the library it is made anew for the next request.

let module = null;
let library = null;

async function unpacked(bytes) {
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream('gzip'));
  return new Response(stream).arrayBuffer();
}

async function answered(request) {
  if (!library) library = (await WebAssembly.instantiate(await module, {})).exports;
  const at = library.allocate(request.length);
  new Uint8Array(library.memory.buffer, at, request.length).set(request);
  const head = library.answer(at, request.length);
  const [start, length] = new Uint32Array(library.memory.buffer.slice(head, head + 8));
  const answer = library.memory.buffer.slice(start, start + length);
  library.release(head);
  return answer;
}

let before = Promise.resolve();

self.onmessage = ({ data }) => {
  if (data.library) {
    module = unpacked(data.library).then((bytes) => WebAssembly.compile(bytes));
    return;
  }
  before = before.then(async () => {
    try {
      const answer = await answered(data.request);
      self.postMessage({ id: data.id, answer }, [answer]);
    } catch (error) {
      library = null;
      self.postMessage({ id: data.id, error: String(error) });
    }
  });
};
