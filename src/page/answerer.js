'use strict';
// Asks the library: by the server that the page came from, or where the page has the library in itself, by a worker.

const Answerer = (() => {
  const library = document.getElementById('library');
  const latest = new Map();
  let count = 0;
  let worker = null;
  const waiting = new Map();

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

  function bytesOf(text) {
    return Uint8Array.from(atob(text.trim()), (letter) => letter.charCodeAt(0));
  }

  function start() {
    const source = document.getElementById('worker').textContent;
    worker = new Worker(URL.createObjectURL(new Blob([source], { type: 'text/javascript' })));
    worker.onmessage = ({ data }) => {
      const { resolve, reject } = waiting.get(data.id);
      waiting.delete(data.id);
      if (data.answer) resolve(data.answer);
      else reject(new Error('The program stopped at this request: ' + data.error));
    };
    const bytes = bytesOf(library.textContent);
    worker.postMessage({ library: bytes }, [bytes.buffer]);
  }

  function byWorker(request) {
    if (!worker) start();
    return new Promise((resolve, reject) => {
      const id = ++count;
      waiting.set(id, { resolve, reject });
      worker.postMessage({ id, request });
    });
  }

  async function byServer(request) {
    let response;
    // What the server's queue cannot take is asked again, a little later each time.
    for (let wait = 100; ; wait *= 2) {
      try {
        response = await fetch('answer', { method: 'POST', body: request });
      } catch {
        throw new Error('The program does not answer. Was it ended? Start it again and open the address that it prints.');
      }
      if (response.status !== 503 || wait > 2000) break;
      await new Promise((resolve) => setTimeout(resolve, wait));
    }
    if (!response.ok) throw new Error((await response.text()) || 'The program does not answer.');
    return response.arrayBuffer();
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
