'use strict';
// Asks the library: by the server that the page came from, or by a worker where the page has it in itself.

const Answerer = (() => {
  const library = document.getElementById('library');
  const latest = new Map();
  const waiting = new Map();
  let count = 0;
  let worker = null;

  // What goes over the wire: the length of the head, the head as JSON, and the parts one after the other.
  function read(buffer) {
    const length = new DataView(buffer).getUint32(0, true);
    const head = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 4, length)));
    let at = 4 + length;
    const parts = head.parts.map(({ name, media, length: size }) => {
      const bytes = new Uint8Array(buffer, at, size);
      at += size;
      return { name, media, bytes };
    });
    return { reply: head.reply, parts };
  }

  function start() {
    const source = document.getElementById('worker').textContent;
    const address = URL.createObjectURL(new Blob([source], { type: 'text/javascript' }));
    worker = new Worker(address);
    worker.onmessage = ({ data }) => {
      const { resolve, reject } = waiting.get(data.id);
      waiting.delete(data.id);
      if (data.answer) resolve(data.answer);
      else reject(new Error(data.error));
    };
    // The worker itself has failed, or was not let in: the next request gets a new one.
    worker.onerror = ({ message }) => {
      worker.terminate();
      worker = null;
      const error = new Error(`The program in this page could not be run. (${message || 'The browser does not say why.'})`);
      for (const { reject } of waiting.values()) reject(error);
      waiting.clear();
    };
    worker.postMessage({ library: library.textContent });
  }

  function byWorker(request) {
    if (!worker) start();
    return new Promise((resolve, reject) => {
      const id = ++count;
      waiting.set(id, { resolve, reject });
      worker.postMessage({ id, request }, [request.buffer]);
    });
  }

  async function byServer(request) {
    const gone = () => {
      throw new Error('The program does not answer. Was it ended? Start it again and open the address that it prints.');
    };
    // What the server's queue cannot take is asked again, a little later each time.
    for (let wait = 100; ; wait *= 2) {
      const response = await fetch('answer', { method: 'POST', body: request }).catch(gone);
      if (response.ok) return response.arrayBuffer().catch(gone);
      const why = await response.text().catch(gone);
      if (response.status !== 503 || wait > 2000) throw new Error(`The program does not answer: ${why || response.status}.`);
      await new Promise((resolve) => setTimeout(resolve, wait));
    }
  }

  let before = Promise.resolve();

  // Asks for `request`; with `latest`, an older one of the same kind that has not been sent yet is dropped, and gives null.
  function ask(request, options = {}) {
    const kind = typeof request.want === 'string' ? request.want : Object.keys(request.want)[0];
    const turn = ++count;
    if (options.latest) latest.set(kind, turn);
    const answer = before.then(async () => {
      if (options.latest && latest.get(kind) !== turn) return null;
      const bytes = new TextEncoder().encode(JSON.stringify(request));
      return read(await (library ? byWorker(bytes) : byServer(bytes)));
    });
    before = answer.catch(() => {});
    return answer;
  }

  return { ask };
})();
