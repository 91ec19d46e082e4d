// Whether the standalone page makes what the command line makes: asks the library in `out/stopwright.html` by the page's
// own worker, and holds every file of the examples against the command line's, byte for byte.
//
//     node tests/page/answers.mjs target/release/stopwright

import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { performance } from 'node:perf_hooks';

const root = new URL('../../', import.meta.url).pathname;
const program = process.argv[2];
const page = readFileSync(join(root, 'out/stopwright.html'), 'utf8');
const block = (id) => page.split(`id="${id}">`)[1].split('</script>')[0];

// The worker as a browser would run it: messages in by `onmessage`, out by `postMessage`.
function worker() {
  const waiting = new Map();
  const self = { postMessage: (message) => waiting.get(message.id)(message) };
  new Function('self', block('worker'))(self);
  const library = Uint8Array.from(Buffer.from(block('library'), 'base64'));
  self.onmessage({ data: { library } });
  let id = 0;
  return (bytes) =>
    new Promise((resolve) => {
      waiting.set(++id, resolve);
      self.onmessage({ data: { id, request: bytes } });
    });
}

const posted = worker();

async function ask(request) {
  const { answer, error } = await posted(new TextEncoder().encode(JSON.stringify(request)));
  assert.equal(error, undefined);
  const length = new DataView(answer).getUint32(0, true);
  const { reply, parts } = JSON.parse(new TextDecoder().decode(new Uint8Array(answer, 4, length)));
  let at = 4 + length;
  const bytes = parts.map((part) => [part.name, Buffer.from(answer, (at += part.length) - part.length, part.length)]);
  return { reply, parts: new Map(bytes) };
}

async function timed(what, request) {
  const before = performance.now();
  const answer = await ask(request);
  console.log(`${what}: ${(performance.now() - before).toFixed(1)} ms`);
  return answer;
}

async function bench(names) {
  let opened = {};
  for (const name of names) {
    const text = readFileSync(join(root, 'examples', name), 'utf8');
    const { reply } = await ask({ bench: opened, want: { open: { name, text } } });
    assert.deepEqual(reply.opened.faults, [], name);
    opened = reply.opened.bench;
  }
  return opened;
}

// The files that the command line writes; its list of them is its own.
function written(command, job, flags) {
  const folder = mkdtempSync(join(tmpdir(), 'stopwright-'));
  try {
    const run = spawnSync(program, [command, join(root, 'examples', job), '--out', folder, ...flags], { encoding: 'utf8' });
    assert.equal(run.error, undefined);
    const names = readdirSync(folder).filter((name) => name !== '.stopwright');
    return new Map(names.map((name) => [name, readFileSync(join(folder, name))]));
  } finally {
    rmSync(folder, { recursive: true });
  }
}

const { reply } = await timed('start, with the library compiled', { want: 'start' });
assert.ok(reply.start.guides.length > 0);
await timed('guide', { bench: reply.start.bench, want: 'guide' });

const cases = [
  ['make', 'tool-chest.json', ['tool-chest.json'], []],
  ['make', 'alder-lane-kit-job.json', ['alder-lane-kit.json', 'alder-lane-kit-job.json'], []],
  ['cutsheet', 'tool-chest.json', ['tool-chest.json'], ['cut-sheet']],
];
for (const [command, job, opened, kinds] of cases) {
  const on = await bench(opened);
  for (const time of ['first', 'second', 'third']) await timed(`${job}, block, ${time}`, { bench: on, want: { block: {} } });
  const { parts } = await timed(`${job}, files of ${command}`, { bench: on, want: { files: { kinds } } });
  const made = written(command, job, ['--force']);
  assert.ok(made.size > 0);
  assert.deepEqual([...parts.keys()].sort(), [...made.keys()].sort());
  const differ = [...made.keys()].filter((name) => !made.get(name).equals(parts.get(name)));
  assert.deepEqual(differ, [], `${job}: these differ`);
  console.log(`${job}: ${made.size} files of ${command}, each byte the same`);
}

// What cannot be read is refused in words, and the next request is answered.
const refused = await ask({ want: 'nothing' });
assert.equal(refused.reply.refused.length, 1);
assert.ok((await ask({ want: 'start' })).reply.start);
