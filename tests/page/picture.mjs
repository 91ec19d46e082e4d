// Makes the picture of the page that the README shows: `node tests/page/picture.mjs`, after tests/page/run.

import { join } from 'node:path';
import { browser, go, home, measured, opened, served } from './support.mjs';

const server = await served();
const chromium = await browser();
const { page } = await opened(chromium, server.address, { viewport: { width: 1280, height: 860 } });
await measured(page);
await go(page, 'block');
await page.locator('canvas').waitFor();
await page.waitForTimeout(1000);
await page.screenshot({ path: join(home, 'examples/pictures/page.png') });
await chromium.close();
server.end();
