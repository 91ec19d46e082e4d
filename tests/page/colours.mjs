// How the page looks to eyes that see fewer colours, and in colours that the reader has forced: pictures to be looked at.
//
//     node tests/page/colours.mjs DIR

import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { bodies, browser, desk, go, measured, opened, settled } from './support.mjs';

const [folder] = process.argv.slice(2);
mkdirSync(folder, { recursive: true });
const chromium = await browser();
const pages = await bodies();
const { page, context } = await opened(chromium, pages.of.standalone, desk);
const session = await context.newCDPSession(page);
await measured(page);
await go(page, 'proof');
const fences = page.getByLabel(/how far is the fence.*left/);
await fences.nth(0).fill('50');
await fences.nth(1).fill('44.3');
await settled(page);
for (const view of ['proof', 'block']) {
  await go(page, view);
  await page.waitForTimeout(1000);
  for (const type of ['none', 'protanopia', 'deuteranopia', 'tritanopia', 'achromatopsia']) {
    await session.send('Emulation.setEmulatedVisionDeficiency', { type });
    await page.screenshot({ path: join(folder, `${view}-${type}.png`) });
  }
  await session.send('Emulation.setEmulatedVisionDeficiency', { type: 'none' });
  await page.emulateMedia({ forcedColors: 'active' });
  await page.screenshot({ path: join(folder, `${view}-forced.png`) });
  await page.emulateMedia({ forcedColors: 'none' });
}
pages.end();
await chromium.close();
