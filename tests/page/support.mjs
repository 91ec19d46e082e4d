// What the tests of the page need: the program, a browser, the page in both bodies, and what a person does on it.

import assert from 'node:assert/strict';
import { execFileSync, spawn } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, readdirSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { after, before } from 'node:test';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';

export const home = resolve(dirname(fileURLToPath(import.meta.url)), '../..');
export const program = process.env.STOPWRIGHT ?? join(home, 'target/release/stopwright');
export const axe = readFileSync(join(home, 'tests/page/node_modules/axe-core/axe.min.js'), 'utf8');

export const alone = process.env.STANDALONE ?? join(home, 'out/stopwright.html');

for (const file of [program, alone]) if (!existsSync(file)) throw new Error(`${file} is not there: run tests/page/run, which builds it`);

// The page that the program serves: its address, and the process.
export async function served() {
  const process = spawn(program, ['page', '--no-browser'], { stdio: ['ignore', 'pipe', 'pipe'] });
  const address = await new Promise((resolve, reject) => {
    let said = '';
    process.stdout.on('data', (data) => {
      said += data;
      const found = /http:\S+/.exec(said);
      if (found) resolve(found[0]);
    });
    process.on('exit', (code) => reject(new Error(`the program ended with ${code}: ${said}`)));
  });
  return { address, process, end: () => process.kill('SIGINT') };
}

const installed = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'].find(existsSync);

// A real Chromium, without a screen; its WebGL is drawn by the processor.
export async function browser() {
  const executablePath = process.env.CHROMIUM ?? installed;
  if (!executablePath) throw new Error('no Chromium was found: install it (chromium), or name it in CHROMIUM');
  const args = ['--no-sandbox', '--use-gl=angle', '--use-angle=swiftshader', '--enable-unsafe-swiftshader'];
  return chromium.launch({ executablePath, args });
}

// The bodies of the page: where each is opened, and how it is ended.
export const both = ['served', 'standalone'];
export async function bodies() {
  const server = await served();
  return { of: { served: server.address, standalone: pathToFileURL(alone).href }, end: server.end };
}

export const telephone = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true };
export const desk = { viewport: { width: 1280, height: 800 } };

// A browser and the bodies of the page, for as long as the tests of a file run.
export function begun() {
  const all = {};
  before(async () => {
    all.chromium = await browser();
    all.pages = await bodies();
  });
  after(async () => {
    all.pages.end();
    await all.chromium.close();
  });
  return all;
}

// A page that is opened; whatever it complains of is kept.
export async function opened(browser, address, options = desk) {
  // The page that works by itself is without a network.
  const context = await browser.newContext({ acceptDownloads: true, offline: address.startsWith('file:'), ...options });
  const page = await context.newPage();
  const complaints = [];
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('console', (message) => message.type() === 'error' && complaints.push(message.text()));
  await page.goto(address);
  await page.getByLabel(/^D, roller/).waitFor();
  return { page, context, complaints };
}

// Waits until the page has shown the answer to the last thing that was typed.
export async function settled(page) {
  await page.waitForFunction(() => !document.querySelector('main > section:not([hidden])[aria-busy]'));
}

export async function go(page, view) {
  await page.locator(`nav button[data-view=${view}]`).click();
  await settled(page);
}

// A guide of our own, measured with calipers. Its dimensions are invented.
export const lengths = [[/^D, roller/, '19.02'], [/^N, from/, '26.3'], [/M, from the roller/, '31.4']];

export async function measured(page) {
  for (const [label, text] of lengths) await page.getByLabel(label).first().fill(text);
  await settled(page);
}

// What a download holds.
export async function downloaded(page, act) {
  const [download] = await Promise.all([page.waitForEvent('download'), act()]);
  return { name: download.suggestedFilename(), bytes: readFileSync(await download.path()) };
}

// The files of a saved bench in a folder of their own, as the command line takes them.
export function laidOut(bundle) {
  const folder = mkdtempSync(join(tmpdir(), 'bench-'));
  for (const [name, file] of Object.entries(JSON.parse(bundle).bench)) {
    writeFileSync(join(folder, name), `${JSON.stringify(file, null, 2)}\n`);
  }
  return folder;
}

// What the command line makes in a folder of its own: files by name.
export function made(...command) {
  const out = mkdtempSync(join(tmpdir(), 'made-'));
  try {
    execFileSync(program, [...command, '--out', out, '--force'], { stdio: 'pipe' });
  } catch (error) {
    // What a guide cannot set is left out and said, with an exit code of its own.
    if (error.status !== 3) throw error;
  }
  const names = readdirSync(out).filter((name) => name !== '.stopwright');
  return new Map(names.map((name) => [name, readFileSync(join(out, name))]));
}

// The files in an archive, by the list at its end (APPNOTE.TXT 6.3, from memory).
export async function unzipped(bytes) {
  const { inflateRawSync } = await import('node:zlib');
  const end = bytes.lastIndexOf(Buffer.from([0x50, 0x4b, 5, 6]));
  let at = bytes.readUInt32LE(end + 16);
  const files = new Map();
  for (let i = 0; i < bytes.readUInt16LE(end + 10); i++) {
    const [method, size] = [bytes.readUInt16LE(at + 10), bytes.readUInt32LE(at + 20)];
    const [name, extra, comment] = [28, 30, 32].map((offset) => bytes.readUInt16LE(at + offset));
    const local = bytes.readUInt32LE(at + 42);
    const start = local + 30 + bytes.readUInt16LE(local + 26) + bytes.readUInt16LE(local + 28);
    const packed = bytes.subarray(start, start + size);
    files.set(bytes.toString('utf8', at + 46, at + 46 + name), method === 8 ? inflateRawSync(packed) : packed);
    at += 46 + name + extra + comment;
  }
  return files;
}

// Whether an archive holds the same files, byte for byte.
export function assertSame(archive, files) {
  assert.deepEqual([...archive.keys()].sort(), [...files.keys()].sort());
  for (const [name, bytes] of archive) assert.ok(bytes.equals(files.get(name)), `${name} differs from the command line's`);
}
