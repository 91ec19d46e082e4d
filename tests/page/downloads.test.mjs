// Whether the page gives the files that the command line makes, byte for byte: of the examples, and of random jobs.

import assert from 'node:assert/strict';
import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { test } from 'node:test';
import { assertSame, begun, both, downloaded, go, home, laidOut, made, opened, settled, unzipped } from './support.mjs';

const live = begun();

const JOBS = 50;

// The same numbers in every run (a linear congruential generator with the constants of Numerical Recipes; from memory).
function dice(seed) {
  let state = seed;
  const roll = () => (state = (Math.imul(state, 1664525) + 1013904223) >>> 0) / 2 ** 32;
  return {
    between: (low, high) => low + Math.floor(roll() * (high - low + 1)),
    of: (all) => all[Math.floor(roll() * all.length)],
    often: (part) => roll() < part,
  };
}

const guides = ['narrow-side-clamp', 'wide-side-clamp', 'top-clamp', 'twin-roller'];
const tools = { 'plane-iron': 51, 'block-plane-iron': 40, 'spokeshave-iron': 50, 'bench-chisel': 32, 'paring-chisel': 25 };

function job(number) {
  const { between, of, often } = dice(number);
  const settings = Array.from({ length: between(1, 3) }, (_, i) => {
    const tool = of(Object.keys(tools));
    const angles = [...new Set(Array.from({ length: between(1, 4) }, () => between(44, 70) / 2))].sort((a, b) => a - b);
    return { id: `set${i}`, tool, angles, width: `${tools[tool]} mm`, ...(often(0.3) && { thickness: `${between(20, 35) / 10} mm +- 0.1 mm` }) };
  });
  return {
    format: 1, title: of(['Random', 'Łódź', 'Πλάνη', 'Стамеска', 'Việt']) + ` ${number}`, units: of(['mm', 'mm', 'in']), guide: of(guides), settings,
    ...(often(0.5) && { block: { cleat: often(0.5), labels: of(['sunk', 'raised', 'none']) } }),
    ...(often(0.5) && { print: { bed: ['220 mm', '220 mm'] } }),
    ...(often(0.3) && { sheet: { size: of(['A4', 'Letter']) } }),
  };
}

// The files of a job as both bodies are held against them, made once.
const folder = mkdtempSync(join(tmpdir(), 'jobs-'));
const kept = new Map();
function asMade(path) {
  if (!kept.has(path)) kept.set(path, made('make', path));
  return kept.get(path);
}

const archive = async (page) => unzipped((await downloaded(page, () => page.getByRole('button', { name: 'Everything as one ZIP' }).click())).bytes);

async function put(page, ...files) {
  await page.locator('#file').setInputFiles(files);
  const last = basename(files.at(-1));
  await page.waitForFunction((last) => document.querySelector('#told').textContent.includes(`${last} is `), last);
  await go(page, 'block');
}

for (const body of both) {
  test(`${body}: the examples`, async () => {
    const example = (name) => join(home, 'examples', name);
    const { page, context } = await opened(live.chromium, live.pages.of[body]);
    await put(page, example('tool-chest.json'));
    assertSame(await archive(page), asMade(example('tool-chest.json')));
    await page.getByLabel(/a jig to build in wood/).check();
    await settled(page);
    const bench = await downloaded(page, () => page.getByRole('button', { name: 'Save my bench' }).click());
    assertSame(await archive(page), made('cutsheet', join(laidOut(bench.bytes), 'job.json')));
    await put(page, example('alder-lane-kit.json'), example('alder-lane-kit-job.json'));
    assertSame(await archive(page), asMade(example('alder-lane-kit-job.json')));
    await context.close();
  });

  test(`${body}: ${JOBS} random jobs`, async () => {
    const { page, context, complaints } = await opened(live.chromium, live.pages.of[body]);
    let offered = 0;
    for (let number = 0; number < JOBS; number++) {
      const path = join(folder, `job-${number}.json`);
      writeFileSync(path, JSON.stringify(job(number)));
      await put(page, path);
      const files = asMade(path);
      if ((await page.getByRole('button', { name: 'Everything as one ZIP' }).count()) === 0) {
        assert.match(await page.locator('#block-seen').innerText(), /Refused|cannot/, `job ${number} gives no files, and no word of why`);
        continue;
      }
      offered++;
      assertSame(await archive(page), files);
    }
    assert.ok(offered > JOBS / 2, `${offered} of ${JOBS} jobs gave files`);
    assert.deepEqual(complaints, []);
    await context.close();
  });
}
