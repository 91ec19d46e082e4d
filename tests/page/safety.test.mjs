// The server against whoever is not its page: other origins and hosts, missing and stale tokens, bodies that are too long or
// never end, connections that do nothing, and a flood.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { connect } from 'node:net';
import { Agent, request } from 'node:http';
import { after, before, test } from 'node:test';
import { served } from './support.mjs';

let server;
let port;
let token;
before(async () => {
  server = await served();
  const at = new URL(server.address);
  port = Number(at.port);
  token = at.pathname.split('/')[1];
});
after(() => server.end());

// A request as it is written, and the status of its response; null where the connection was closed without one.
function sent({ method = 'POST', path = `/${token}/answer`, headers = {}, body = '{"want":"guide"}', agent }) {
  const all = { Host: `127.0.0.1:${port}`, Origin: `http://127.0.0.1:${port}`, ...headers };
  for (const [name, value] of Object.entries(all)) if (value === null) delete all[name];
  return new Promise((resolve) => {
    const made = request({ host: '127.0.0.1', port, method, path, headers: all, agent, setHost: false }, (response) => {
      const parts = [];
      response.on('data', (part) => parts.push(part));
      response.on('end', () => resolve({ status: response.statusCode, headers: response.headers, body: Buffer.concat(parts) }));
    });
    made.on('error', () => resolve({ status: null }));
    made.end(method === 'GET' ? undefined : body);
  });
}

const lives = async () => assert.equal((await sent({})).status, 200, 'the server lives');

// What the process holds in memory, MiB (proc(5)).
const memory = () => Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${server.process.pid}/status`, 'utf8'))[1]) / 1024;

test('the page itself gets an answer, and its policy', async () => {
  const { status, headers, body } = await sent({ method: 'GET', path: `/${token}/`, headers: { Origin: null } });
  assert.equal(status, 200);
  assert.match(headers['content-security-policy'], /default-src 'none'.*connect-src 'self'.*frame-ancestors 'none'/);
  assert.doesNotMatch(headers['content-security-policy'], /unsafe/);
  assert.equal(headers['x-content-type-options'], 'nosniff');
  assert.equal(headers['referrer-policy'], 'no-referrer');
  assert.match(body.toString(), /<title>Stopwright/);
});

test('nobody else does', async () => {
  const refused = [
    [{ headers: { Host: `evil.example:${port}` } }, 421],
    [{ headers: { Host: `localhost:${port}` } }, 421],
    [{ headers: { Origin: 'http://evil.example' } }, 403],
    [{ headers: { Origin: null } }, 403],
    [{ headers: { Origin: 'null' } }, 403],
    [{ headers: { 'Sec-Fetch-Site': 'cross-site' } }, 403],
    [{ path: '/answer' }, 403],
    [{ path: `/${'0'.repeat(32)}/answer` }, 403],
    [{ path: `/${token}/../../etc/passwd` }, 403],
    [{ path: `/${token}/passwd` }, 404],
    [{ method: 'GET', path: '/' }, 403],
    [{ method: 'PUT' }, 405],
  ];
  for (const [request, status] of refused) assert.equal((await sent(request)).status, status, JSON.stringify(request));
  await lives();
});

test('a path in any field is a name that is not on the bench', async () => {
  const bench = { guide: { profile: { name: '../../../../etc/passwd' } }, typed: { block: { 'settings.0.tool': '/etc/passwd.json' } } };
  const { status, body } = await sent({ body: JSON.stringify({ bench, want: { block: {} } }) });
  assert.equal(status, 200);
  const said = body.toString();
  assert.ok(!/root:/.test(said), 'a file of the system was read');
  assert.ok(/no [^,]*passwd[^,]* on the bench/.test(said), said.slice(-300));
});

test('a body of 5 MiB is refused, said beforehand or not', async () => {
  const body = Buffer.alloc(5 * 1024 * 1024, 32);
  assert.ok([413, null].includes((await sent({ body })).status));
  assert.ok([413, null].includes((await sent({ body, headers: { 'Transfer-Encoding': 'chunked' } })).status));
  await lives();
});

test('bodies that never end are cut off, and memory stays', async () => {
  const before = memory();
  const endless = () => new Promise((resolve) => {
    const socket = connect(port, '127.0.0.1', () => {
      socket.write(`POST /${token}/answer HTTP/1.1\r\nHost: 127.0.0.1:${port}\r\nOrigin: http://127.0.0.1:${port}\r\nTransfer-Encoding: chunked\r\n\r\n`);
      const chunk = `10000\r\n${' '.repeat(65536)}\r\n`;
      const go = () => { while (!socket.destroyed && socket.write(chunk)); };
      socket.on('drain', go);
      go();
    });
    let said = '';
    socket.on('data', (data) => { said += data; });
    socket.on('error', () => {});
    socket.on('close', () => resolve(said));
  });
  const ended = await Promise.all(Array.from({ length: 12 }, endless));
  assert.ok(ended.every((said) => said === '' || /^HTTP\/1.1 (413|503)/.test(said)), ended.map((said) => said.slice(0, 40)).join());
  await lives();
  assert.ok(memory() - before < 120, `${before} MiB became ${memory()} MiB`);
});

test('200 connections that say nothing keep nobody out', async () => {
  const idle = await Promise.all(Array.from({ length: 200 }, () => new Promise((resolve) => {
    const socket = connect(port, '127.0.0.1', () => resolve(socket));
    socket.on('error', () => {});
  })));
  await lives();
  idle.forEach((socket) => socket.destroy());
});

test('a head that arrives a letter at a time is cut off', { timeout: 40_000 }, async () => {
  const socket = connect(port, '127.0.0.1');
  socket.on('error', () => {});
  const closed = new Promise((resolve) => socket.on('close', resolve));
  socket.write(`POST /${token}/answer HTTP/1.1\r\n`);
  const slow = setInterval(() => socket.write('X'), 1000);
  await closed;
  clearInterval(slow);
  await lives();
});

// Offered at a rate, whether answered or not, over connections that are kept.
async function flood(seconds, perSecond) {
  const agent = new Agent({ keepAlive: true, maxSockets: 400 });
  const statuses = new Map();
  const all = [];
  const begun = Date.now();
  for (let i = 0; i < seconds * perSecond; i++) {
    const due = begun + (i * 1000) / perSecond;
    while (Date.now() < due) await new Promise((resolve) => setTimeout(resolve, Math.max(1, due - Date.now())));
    all.push(sent({ agent }).then(({ status }) => statuses.set(status, (statuses.get(status) ?? 0) + 1)));
  }
  await Promise.all(all);
  agent.destroy();
  return statuses;
}

test('1,000 requests a second for a minute: answered or 503, and memory does not grow', { timeout: 180_000 }, async () => {
  await flood(3, 1000);
  const before = memory();
  const statuses = await flood(60, 1000);
  assert.ok([...statuses.keys()].every((status) => status === 200 || status === 503), JSON.stringify([...statuses]));
  assert.ok(statuses.get(200) > 500, JSON.stringify([...statuses]));
  assert.ok(memory() - before < 60, `${before} MiB became ${memory()} MiB`);
  await lives();
  console.log(`of 60,000 offered: ${JSON.stringify([...statuses])}; ${before.toFixed(0)} MiB before, ${memory().toFixed(0)} MiB after`);
});

test('it ends when it is asked to', async () => {
  const ended = new Promise((resolve) => server.process.on('exit', resolve));
  assert.equal((await sent({ path: `/${token}/end`, body: '' })).status, 200);
  assert.equal(await ended, 0);
});
