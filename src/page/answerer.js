'use strict';
// Asks the library, by the server that the page came from.

const Answerer = (() => {
  const latest = new Map();
  let count = 0;

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
      return read(await byServer(bytes));
    });
    before = answer.catch(() => {});
    return answer;
  }

  return { ask };
})();
