// The main journey in another browser: Firefox, driven over WebDriver BiDi.

import assert from 'node:assert/strict';
import { existsSync, mkdtempSync, readFileSync, readdirSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import puppeteer from 'puppeteer-core';
import { assertSame, bodies, both, laidOut, lengths, made, unzipped } from './support.mjs';

const executablePath = process.env.FIREFOX ?? ['/usr/bin/firefox-esr', '/usr/bin/firefox'].find(existsSync);
if (!executablePath) throw new Error('no Firefox was found: install it (firefox-esr), or name it in FIREFOX');

let firefox;
let pages;
const folder = mkdtempSync(join(tmpdir(), 'firefox-'));
before(async () => {
  pages = await bodies();
  firefox = await puppeteer.launch({
    browser: 'firefox', executablePath, headless: true,
    extraPrefsFirefox: { 'browser.download.folderList': 2, 'browser.download.dir': folder },
  });
});
after(async () => {
  pages.end();
  // Where a test has failed, it may wait for its page for ever.
  const closed = firefox.close();
  await Promise.race([closed, new Promise((resolve) => setTimeout(resolve, 10_000).unref())]);
  firefox.process()?.kill('SIGKILL');
});

// A file that the browser saves. Its name is there at once; it is whole when what was written beside it has become it.
async function saved(name, act) {
  const path = join(folder, name);
  await act();
  const isWhole = () => existsSync(path) && statSync(path).size > 0 && !readdirSync(folder).some((file) => file.endsWith('.part'));
  for (let i = 0; i < 300 && !isWhole(); i++) await new Promise((resolve) => setTimeout(resolve, 100));
  const bytes = readFileSync(path);
  // Another of its name would get a number.
  rmSync(path);
  return bytes;
}

async function pressed(page, what) {
  await page.waitForSelector(what);
  await page.click(what);
}

for (const body of both) {
  test(`${body}: three lengths make a block, byte for byte the command line's`, async () => {
    const page = await firefox.newPage();
    const complaints = [];
    page.on('pageerror', (error) => complaints.push(error.message));
    await page.goto(pages.of[body]);
    await page.waitForSelector('#guide-form input');
    for (const [label, text] of lengths) {
      await page.evaluate((label) => {
        [...document.querySelectorAll('#guide-form label')].find(({ textContent }) => new RegExp(label).test(textContent)).control.focus();
      }, label.source);
      await page.keyboard.type(text);
    }
    await page.waitForSelector('#guide-seen img');
    await pressed(page, 'nav button[data-view=block]');
    const archive = await unzipped(await saved('stopwright.zip', () => pressed(page, '#files .main')));
    const bench = await saved('my-bench.json', () => pressed(page, '#save'));
    assertSame(archive, made('make', join(laidOut(bench), 'job.json')));
    assert.equal(await page.$eval('canvas', (canvas) => canvas.checkVisibility() || Boolean(document.querySelector('.model img'))), true);
    assert.deepEqual(complaints, []);
    await page.close();
  });
}
