'use strict';
// Answers requests with the library in WebAssembly, one at a time. The first message is the library as a text; every
// other { id, request } is given back { id, answer }, all bytes, or { id, error }.

let module = null;
let library = null;

// The bytes that a module gives at `head`: where they begin, and how many there are.
function given({ memory }, head) {
  const [start, length] = new Uint32Array(memory.buffer.slice(head >>> 0, (head >>> 0) + 8));
  return memory.buffer.slice(start >>> 0, (start >>> 0) + length);
}

// Where `bytes` are put for a module.
function put({ allocate, memory }, bytes) {
  const at = allocate(bytes.length) >>> 0;
  new Uint8Array(memory.buffer, at, bytes.length).set(bytes);
  return at;
}

// The bytes of a text: fifteen bits a sign, the highest first.
function bytesOf(text) {
  const bytes = new Uint8Array((text.length * 15) >> 3);
  for (let i = 0, at = 0, held = 0, bits = 0; i < text.length; i++) {
    held = ((held << 15) | (text.charCodeAt(i) - 0x3400)) & 0x3fffff;
    for (bits += 15; bits >= 8; bits -= 8) bytes[at++] = held >> (bits - 8);
  }
  return bytes;
}

// The library's text holds the length of what unpacks it, that, and the library packed.
async function unpacked(text) {
  const bytes = bytesOf(text);
  const start = 4 + new DataView(bytes.buffer).getUint32(0, true);
  const { exports } = (await WebAssembly.instantiate(bytes.subarray(4, start), {})).instance;
  const packed = bytes.subarray(start);
  return WebAssembly.compile(given(exports, exports.unpacked(put(exports, packed), packed.length)));
}

function answered(request) {
  const head = library.answer(put(library, request), request.length);
  const answer = given(library, head);
  library.release(head);
  return answer;
}

// What a panic said, or where there was none (memory or stack have run out), the browser.
function fault(error) {
  try {
    return new TextDecoder().decode(given(library, library.fault())) || String(error);
  } catch {
    return String(error);
  }
}

async function reply({ id, request }) {
  try {
    library ??= (await WebAssembly.instantiate(await module, {})).exports;
  } catch (error) {
    self.postMessage({ id, error: `This browser cannot run the program that is in this page. A newer one can. (${error})` });
    return;
  }
  try {
    const answer = answered(request);
    self.postMessage({ id, answer }, [answer]);
  } catch (error) {
    const words = 'Internal error: this is a bug in stopwright, not in what you typed. What you typed is kept.';
    self.postMessage({ id, error: `${words} (${fault(error)})` });
    // After a fault nothing in it can be relied on: the next request gets a new one.
    library = null;
  }
}

let before = Promise.resolve();

self.onmessage = ({ data }) => {
  if (data.library) {
    module = unpacked(data.library);
    // Whoever asks first is told.
    module.catch(() => {});
  } else {
    before = before.then(() => reply(data));
  }
};
