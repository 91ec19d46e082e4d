// From an empty page to a block, a cut sheet, a verdict and a line in the log, by taps and typing.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';
import { assertSame, begun, both, desk, downloaded, go, home, laidOut, made, measured, opened, settled, telephone, unzipped } from './support.mjs';

const live = begun();

const everything = (page) => downloaded(page, () => page.getByRole('button', { name: 'Everything as one ZIP' }).click());
const saved = (page) => downloaded(page, () => page.getByRole('button', { name: 'Save my bench' }).click());

for (const body of both) {
  for (const [device, options] of [['telephone', telephone], ['desk', desk]]) {
    test(`${body}, ${device}: three lengths make a block, byte for byte the command line's`, async () => {
      const { page, context, complaints } = await opened(live.chromium, live.pages.of[body], options);
      await measured(page);
      assert.equal(await page.locator('#guide-seen img').count(), 1, 'the side view is there');
      await go(page, 'block');
      const archive = await unzipped((await everything(page)).bytes);
      const folder = laidOut((await saved(page)).bytes);
      assertSame(archive, made('make', join(folder, 'job.json')));
      assert.deepEqual(complaints, []);
      await context.close();
    });
  }

  test(`${body}: the maker's settings lead to a block`, async () => {
    const { page, context } = await opened(live.chromium, live.pages.of[body], telephone);
    await page.getByLabel(/maker’s settings/).check();
    const pairs = [['25', '57.8'], ['30', '44.3'], ['35', '34.5']];
    for (const [i, [angle, projection]] of pairs.entries()) {
      const at = page.locator('#settings-form fieldset.row').nth(i);
      if (i > 0) await page.getByRole('button', { name: 'Another setting' }).click();
      await settled(page);
      if (i === 0) await at.getByLabel('iron').check().catch(() => {});
      await settled(page);
      await at.getByLabel(/Which bevel angle/).fill(angle);
      await at.getByLabel(/How far does the edge/).first().fill(projection);
      await settled(page);
    }
    await page.locator('#settings-form > details > summary').click();
    await page.locator('#settings-form').getByLabel(/How thick is the roller/).first().fill('19.02');
    await page.locator('#settings-form').getByLabel(/rear to the face/).first().fill('26.3');
    await settled(page);
    await go(page, 'block');
    const file = await everything(page);
    assert.ok((await unzipped(file.bytes)).has('block.stl'));
    await context.close();
  });

  test(`${body}: wood alone gives the cut sheet`, async () => {
    const { page, context } = await opened(live.chromium, live.pages.of[body], telephone);
    await measured(page);
    await go(page, 'block');
    await page.getByLabel(/a jig to build in wood/).check();
    await settled(page);
    await page.getByRole('button', { name: 'The cut sheet' }).click();
    const pdf = await downloaded(page, () => page.getByRole('button', { name: 'cutsheet.pdf' }).click());
    const folder = laidOut((await saved(page)).bytes);
    assert.ok(pdf.bytes.equals(made('cutsheet', join(folder, 'job.json')).get('cutsheet.pdf')));
    await context.close();
  });

  test(`${body}: readings give a verdict, and the next block is corrected`, async () => {
    const { page, context } = await opened(live.chromium, live.pages.of[body], telephone);
    await measured(page);
    await go(page, 'proof');
    const fence = page.locator('#proof-form .field').filter({ hasText: '25°: how far' });
    const asked = Number(/says ([\d.]+) mm/.exec(await fence.innerText())[1]);
    await fence.locator('input').nth(0).fill((asked - 2.1).toFixed(2));
    await fence.locator('input').nth(1).fill((asked - 2.06).toFixed(2));
    await settled(page);
    const verdict = page.locator('.verdict').first();
    assert.match(await verdict.innerText(), /fails[\s\S]*Move the fence 2\.0[678] mm away from its edge/);
    const archive = await downloaded(page, () => page.getByRole('button', { name: 'The next block, corrected' }).click());
    const files = await unzipped(archive.bytes);
    assert.match(files.get('block.svg').toString(), /CORRECTED/);
    await context.close();
  });

  test(`${body}: an angle taken on a plate gives a verdict`, async () => {
    const { page, context } = await opened(live.chromium, live.pages.of[body], telephone);
    await measured(page);
    await go(page, 'proof');
    const field = (words) => page.locator('#proof-form .field').filter({ hasText: words });
    await field('on a flat plate').getByText('yes', { exact: true }).click();
    await settled(page);
    const lane = field('Which lane did you set');
    const choices = lane.locator('select');
    if (await choices.count()) await choices.selectOption({ index: 1 });
    else await lane.locator('label').first().click();
    await settled(page);
    const heights = field('at P and at Q').locator('input');
    await heights.nth(0).fill('12.00');
    await heights.nth(1).fill('42.00');
    await field('How far apart are P and Q').locator('input').first().fill('60');
    await settled(page);
    assert.match(await page.locator('.verdict').first().innerText(), /on the plate[\s\S]*30\.00° ± 0\.\d\d° found/);
    await context.close();
  });

  test(`${body}: a honing is written down at the stone`, async () => {
    const { page, context } = await opened(live.chromium, live.pages.of[body], telephone);
    const example = (name) => join(home, 'examples', name);
    await page.setInputFiles('#file', [example('alder-lane-kit-job.json'), example('alder-lane-kit.json')]);
    await page.getByText(/alder-lane-kit-job.json is a job/).waitFor();
    await go(page, 'stones');
    await page.locator('.blades button').first().click();
    for (;;) {
      const stroke = page.getByRole('button', { name: 'A stroke' });
      if (await stroke.count()) for (let i = 0; i < 3; i++) await stroke.click();
      const next = page.getByRole('button', { name: 'Next', exact: true });
      if (!(await next.count())) break;
      await next.click();
    }
    await page.getByRole('button', { name: 'Done: write it down' }).click();
    await page.getByRole('heading', { name: 'Log' }).waitFor();
    const log = await downloaded(page, () => page.getByRole('button', { name: 'Save the log' }).click());
    const [entry] = JSON.parse(log.bytes).entries;
    assert.equal(entry.what, 'honed');
    assert.ok(entry.strokes.every(({ count }) => count === 3), JSON.stringify(entry));
    await context.close();
  });

  test(`${body}: lanes are honed without a log, which is said`, async () => {
    const { page, context } = await opened(live.chromium, live.pages.of[body], telephone);
    await measured(page);
    await go(page, 'stones');
    await page.getByText(/written down of blades that are listed/).waitFor();
    await page.locator('.blades button').first().click();
    const next = page.getByRole('button', { name: 'Next', exact: true });
    while (await next.count()) await next.click();
    await page.getByRole('button', { name: 'Done', exact: true }).click();
    await page.getByText('Which is on the stone?').waitFor();
    await context.close();
  });

  test(`${body}: what is dropped on the page opens in its view, with its faults beside their fields`, async () => {
    const { page, context, complaints } = await opened(live.chromium, live.pages.of[body], desk);
    const example = (name) => readFileSync(join(home, 'examples', name), 'utf8');
    const dropped = async (name, text = example(name)) => {
      const files = await page.evaluateHandle(([name, text]) => {
        const data = new DataTransfer();
        data.items.add(new File([text], name));
        return data;
      }, [name, text]);
      for (const event of ['dragover', 'drop']) await page.dispatchEvent('main', event, { dataTransfer: files });
      await page.waitForFunction((name) => document.querySelector('#told').textContent.includes(name), name);
      await settled(page);
    };
    const current = () => page.locator('nav [aria-current]').getAttribute('data-view');
    await dropped('alder-lane-kit.json');
    assert.equal(await current(), 'blades');
    await dropped('tool-chest.json');
    assert.equal(await current(), 'block');
    // A sign that nothing can be lettered with.
    await dropped('faulty.json', example('tool-chest.json').replace(/"title": "[^"]*"/, '"title": "Chest 刨"'));
    const title = page.locator('.field').filter({ hasText: 'Which title' });
    assert.equal(await title.locator('input').getAttribute('aria-invalid'), 'true');
    assert.match(await title.locator('.refused').innerText(), /刨.*cannot show/);
    assert.deepEqual(complaints, []);
    await context.close();
  });

  test(`${body}: what was typed is there after a reload, and a wiped store begins anew`, async () => {
    const { page, context } = await opened(live.chromium, live.pages.of[body], desk);
    await measured(page);
    await page.reload();
    await page.getByLabel(/^D, roller/).waitFor();
    assert.equal(await page.getByLabel(/^D, roller/).inputValue(), '19.02');
    await page.evaluate(() => localStorage.clear());
    await page.reload();
    await page.getByLabel(/^D, roller/).waitFor();
    assert.equal(await page.getByLabel(/^D, roller/).inputValue(), '');
    await page.evaluate(() => localStorage.setItem('stopwright-bench', '{"bench":'));
    await page.reload();
    await page.getByLabel(/^D, roller/).waitFor();
    await context.close();
  });

  test(`${body}: two tabs keep what is typed in each`, async () => {
    const address = live.pages.of[body];
    const { page, context } = await opened(live.chromium, address, desk);
    const other = await context.newPage();
    await other.goto(address);
    await other.getByLabel(/^D, roller/).waitFor();
    await page.getByLabel(/^D, roller/).fill('20');
    await settled(page);
    await other.getByText(/Another tab changed/).waitFor();
    await other.getByLabel(/^N, from/).fill('26.3');
    await settled(other);
    assert.equal(await page.getByLabel(/^D, roller/).inputValue(), '20');
    await context.close();
  });
}
