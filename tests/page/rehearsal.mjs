// What a person sees on a telephone, from an empty page to a honing written down: pictures to be looked at.
//
//     node tests/page/rehearsal.mjs DIR [served|standalone] [light|dark]

import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { bodies, browser, downloaded, go, lengths, opened, settled, telephone } from './support.mjs';

const [folder, body = 'standalone', colorScheme = 'light'] = process.argv.slice(2);
mkdirSync(folder, { recursive: true });
const chromium = await browser();
const pages = await bodies();

async function begun() {
  const { page } = await opened(chromium, pages.of[body], { ...telephone, colorScheme, deviceScaleFactor: 2 });
  return page;
}

let number = 0;
async function seen(page, what) {
  await settled(page);
  await page.waitForTimeout(300);
  await page.screenshot({ path: join(folder, `${String(++number).padStart(2, '0')}-${what}.png`), fullPage: true });
}

async function saved(page, act) {
  const { name, bytes } = await downloaded(page, act);
  writeFileSync(join(folder, name), bytes);
}

const press = (page, name) => () => page.getByRole('button', { name }).click();

// One's own guide by calipers, to a block.
let page = await begun();
await seen(page, 'empty');
for (const [label, text] of lengths.slice(0, 2)) await page.getByLabel(label).first().fill(text);
await page.getByLabel(lengths[2][0]).first().fill('3.14');
await seen(page, 'a-slip');
await page.getByLabel(lengths[2][0]).first().fill('31.4');
await seen(page, 'guide');
await press(page, 'Next: my blades')();
await seen(page, 'blades');
await press(page, 'Next: my block')();
await seen(page, 'block');
await saved(page, press(page, 'Everything as one ZIP'));
await seen(page, 'block-saved');

// Readings, to a verdict and the next block.
await go(page, 'proof');
await seen(page, 'proof-empty');
const fence = page.locator('#proof-form .field').filter({ hasText: '25°: how far' });
const asked = Number(/says ([\d.]+) mm/.exec(await fence.innerText())[1]);
await fence.locator('input').nth(0).fill((asked - 2.1).toFixed(2));
await fence.locator('input').nth(1).fill((asked - 2.06).toFixed(2));
await seen(page, 'verdict');
await saved(page, press(page, 'The next block, corrected'));

// A leaflet alone, to a block.
page = await begun();
await page.getByLabel(/maker’s settings/).check();
for (const [i, [angle, projection]] of [['25', '57.8'], ['30', '44.3'], ['35', '34.5']].entries()) {
  if (i > 0) await press(page, 'Another setting')();
  await settled(page);
  const row = page.locator('#settings-form fieldset.row').nth(i);
  if (i === 0) await row.getByLabel('iron').check();
  await settled(page);
  await row.getByLabel(/Which bevel angle/).fill(angle);
  await row.getByLabel(/How far does the edge/).first().fill(projection);
}
await seen(page, 'leaflet');
await go(page, 'block');
await seen(page, 'leaflet-block');

// Wood alone, to a cut sheet.
page = await begun();
for (const [label, text] of lengths) await page.getByLabel(label).first().fill(text);
await go(page, 'block');
await page.getByLabel(/a jig to build in wood/).check();
await seen(page, 'wood');
await press(page, 'The cut sheet')();
await page.getByRole('button', { name: 'cutsheet.pdf' }).waitFor();
await seen(page, 'cut-sheet');

// Each blade that one owns.
await go(page, 'blades');
await page.getByLabel(/Advised, for each blade/).check();
await seen(page, 'own-blades');
await page.getByLabel(/call the first blade/).fill('jack');
await page.getByLabel(/Which kind of blade/).locator('visible=true').first().selectOption('plane-iron');
await settled(page);
await page.getByLabel(/How wide is it/).locator('visible=true').first().fill('51');
await seen(page, 'own-blades-advised');

// A honing, written down at the stone.
await go(page, 'stones');
await seen(page, 'stones');
await page.locator('.blades button').first().click();
await seen(page, 'at-the-stone');
for (let i = 0; (await page.getByRole('button', { name: 'Next', exact: true }).count()) > 0; i++) {
  await press(page, 'Next')();
  if (await page.getByRole('button', { name: 'A stroke' }).count()) for (let k = 0; k < 3; k++) await press(page, 'A stroke')();
  await seen(page, `step-${i + 2}`);
}
await press(page, /^Done/)();
await seen(page, 'written-down');

pages.end();
await chromium.close();
