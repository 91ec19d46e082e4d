// The main journey in another browser: Firefox, driven over WebDriver BiDi.

import assert from 'node:assert/strict';
import { existsSync, mkdtempSync, readFileSync } from 'node:fs';
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
  await firefox.close();
});

// A file that the browser saves: it is there whole when its name is.
async function saved(name, act) {
  const path = join(folder, name);
  await act();
  for (let i = 0; i < 300 && !existsSync(path); i++) await new Promise((resolve) => setTimeout(resolve, 100));
  return readFileSync(path);
}

async function pressed(page, what) {
  await page.waitForSelector(what);
  await page.click(what);
}

for (const [i, body] of both.entries()) {
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
    // A second archive of the same name gets a number.
    const number = i ? `(${i})` : '';
    const archive = await unzipped(await saved(`stopwright${number}.zip`, () => pressed(page, '#files .main')));
    const bench = await saved(`my-bench${number}.json`, () => pressed(page, '#save'));
    assertSame(archive, made('make', join(laidOut(bench), 'job.json')));
    assert.equal(await page.$eval('canvas', (canvas) => canvas.checkVisibility() || Boolean(document.querySelector('.model img'))), true);
    assert.deepEqual(complaints, []);
    await page.close();
  });
}
