// Whether everyone can use it: axe, keys alone, a narrow screen, large text, no colour; and whether names stay text.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';
import { axe, begun, both, desk, go, home, measured, opened, settled, telephone } from './support.mjs';

const live = begun();

const views = ['guide', 'blades', 'block', 'proof', 'stones'];

// All that axe finds against WCAG 2.2, levels A and AA, and its own best practices.
async function found(page, where) {
  await settled(page);
  await page.evaluate(axe);
  const tags = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];
  const { violations } = await page.evaluate((tags) => window.axe.run(document, { runOnly: tags }), tags);
  return violations.map(({ id, nodes }) => `${where}: ${id}: ${nodes[0].html.slice(0, 160)}`);
}

// Each body in both schemes, and on both devices.
const shown = [
  ['served', 'light', 'telephone', telephone], ['served', 'dark', 'desk', desk],
  ['standalone', 'dark', 'telephone', telephone], ['standalone', 'light', 'desk', desk],
];
for (const [body, colorScheme, device, options] of shown) {
  test(`${body}: axe finds nothing, ${colorScheme}, ${device}`, async () => {
    // The policy keeps axe out as it keeps out all else; the policy is tested elsewhere.
    const { page, context } = await opened(live.chromium, live.pages.of[body], { ...options, colorScheme, bypassCSP: true });
    const all = await found(page, 'empty');
    await page.getByLabel(/^D, roller/).fill('19,02');
    all.push(...await found(page, 'refused'));
    await measured(page);
    for (const summary of await page.locator('section:not([hidden]) summary').all()) if (await summary.isVisible()) await summary.click();
    all.push(...await found(page, 'guide'));
    await page.getByLabel(/maker’s settings/).check();
    all.push(...await found(page, 'known settings'));
    await page.getByLabel(/with calipers/).check();
    for (const view of views.slice(1)) {
      await go(page, view);
      all.push(...await found(page, view));
      if (view === 'blades') {
        await page.getByLabel(/Advised, for each blade/).check();
        all.push(...await found(page, 'blades listed'));
        await page.getByLabel(/By me, for each kind/).check();
        await settled(page);
      }
      if (view === 'proof') {
        await page.getByLabel(/how far is the fence.*left/).first().fill('50');
        all.push(...await found(page, 'proved'));
      }
    }
    await page.locator('.blades button').first().click();
    all.push(...await found(page, 'at the stone'));
    assert.deepEqual(all, []);
    await context.close();
  });
}

for (const body of both) {
  test(`${body}: nothing is wider than the narrowest screen, at 200 % text too`, async () => {
    for (const text of ['100%', '200%']) {
      const { page, context } = await opened(live.chromium, live.pages.of[body], { viewport: { width: 360, height: 740 }, hasTouch: true });
      await page.evaluate((text) => { document.documentElement.style.fontSize = text; }, text);
      await measured(page);
      for (const view of views) {
        await go(page, view);
        const [wide, seen] = await page.evaluate(() => [document.documentElement.scrollWidth, window.innerWidth]);
        assert.ok(wide <= seen, `${view} at ${text}: ${wide} px wide on ${seen} px`);
      }
      await context.close();
    }
  });

  test(`${body}: a telephone shows every column of the tables of lanes`, async () => {
    const { page, context } = await opened(live.chromium, live.pages.of[body], telephone);
    await measured(page);
    for (const view of views.slice(0, 3)) {
      await go(page, view);
      const tables = await page.locator('section:not([hidden]) .wide').evaluateAll((all) => all.map(({ scrollWidth, clientWidth }) => [scrollWidth, clientWidth]));
      assert.ok(tables.length > 0, view);
      for (const [wide, seen] of tables) assert.ok(wide <= seen, `${view}: a table ${wide} px wide on ${seen} px`);
    }
    await context.close();
  });

  test(`${body}: targets are large enough for fingers, and at the stone for wet ones`, async () => {
    const { page, context } = await opened(live.chromium, live.pages.of[body], telephone);
    await measured(page);
    const small = (least) => page.evaluate((least) => [...document.querySelectorAll('button, select, summary, input[type=text], label:has(input)')]
      .filter((each) => each.checkVisibility())
      .map((each) => [each.textContent.slice(0, 40) || each.id, each.getBoundingClientRect()])
      .filter(([, box]) => box.height < least - 0.5).map(([what, box]) => `${what}: ${box.height}`), least);
    for (const view of views) {
      await go(page, view);
      assert.deepEqual(await small(48), [], view);
    }
    await page.locator('.blades button').first().click();
    assert.deepEqual(await small(64), [], 'at the stone');
    await context.close();
  });

  test(`${body}: keys alone make a block`, async () => {
    const { page, context } = await opened(live.chromium, live.pages.of[body], desk);
    // Tab goes on until what has the focus has these words in its name.
    const reach = async (words) => {
      for (let i = 0; i < 120; i++) {
        const name = await page.evaluate(() => {
          const at = document.activeElement;
          return (at.labels?.[0]?.textContent ?? at.getAttribute('aria-label') ?? at.textContent ?? '').trim();
        });
        if (words.test(name)) return;
        await page.keyboard.press('Tab');
      }
      assert.fail(`${words} is not reached by Tab`);
    };
    for (const [label, text] of [[/^D, roller/, '19.02'], [/^N, from/, '26.3'], [/M, from the roller/, '31.4']]) {
      await reach(label);
      await page.keyboard.type(text);
    }
    await reach(/^Next: my blades/);
    await page.keyboard.press('Enter');
    await settled(page);
    await reach(/^Next: my block/);
    await page.keyboard.press('Enter');
    await settled(page);
    await reach(/The block in three dimensions/);
    await page.keyboard.press('ArrowLeft');
    await reach(/^plane-iron-30/);
    await page.keyboard.press('Enter');
    await settled(page);
    assert.equal(await page.locator('tr.chosen').innerText().then((text) => text.startsWith('plane-iron-30')), true);
    await page.keyboard.press('Shift+Tab');
    await page.locator('nav button[data-view=block]').focus();
    await reach(/^Everything as one ZIP/);
    const [download] = await Promise.all([page.waitForEvent('download'), page.keyboard.press('Enter')]);
    assert.equal(download.suggestedFilename(), 'stopwright.zip');
    await context.close();
  });

  test(`${body}: a lane is chosen in the table and on the block alike`, async () => {
    const { page, context, complaints } = await opened(live.chromium, live.pages.of[body], desk);
    await measured(page);
    await go(page, 'block');
    const canvas = page.locator('canvas');
    await canvas.waitFor();
    await page.getByRole('button', { name: 'plane-iron-35' }).click();
    await settled(page);
    assert.match(await page.locator('tr.chosen').innerText(), /^plane-iron-35/);
    // Something of the block is touched until the first lane is chosen there.
    const box = await canvas.boundingBox();
    for (let step = 0; step < 60 && !/^plane-iron-25/.test(await page.locator('tr.chosen').innerText()); step++) {
      await canvas.click({ position: { x: box.width * (0.2 + 0.1 * (step % 7)), y: box.height * (0.3 + 0.06 * Math.floor(step / 7)) } });
      await settled(page);
    }
    assert.match(await page.locator('tr.chosen').innerText(), /^plane-iron-25/);
    assert.deepEqual(complaints, []);
    await context.close();
  });

  test(`${body}: licences go with the page, and can be closed again`, async () => {
    const { page, context } = await opened(live.chromium, live.pages.of[body], { ...telephone, bypassCSP: true });
    const notices = readFileSync(join(home, 'src/notices.txt'), 'utf8');
    await page.getByText('Licences', { exact: true }).click();
    const licences = page.getByRole('region', { name: /^Licences of/ });
    await licences.waitFor();
    assert.equal(await licences.textContent(), notices);
    assert.deepEqual(await found(page, 'licences'), []);
    await page.getByText('Licences', { exact: true }).click();
    await licences.waitFor({ state: 'hidden' });
    await context.close();
  });

  test(`${body}: without WebGL the picture is shown`, async () => {
    const { page, context } = await opened(live.chromium, live.pages.of[body], desk);
    await page.evaluate(() => { HTMLCanvasElement.prototype.getContext = () => null; });
    await measured(page);
    await go(page, 'block');
    await page.locator('.model img').waitFor();
    assert.equal(await page.locator('canvas').isVisible(), false);
    await context.close();
  });

  test(`${body}: a print from the browser says that it is not to scale`, async () => {
    const { page, context } = await opened(live.chromium, live.pages.of[body], desk);
    await measured(page);
    await go(page, 'block');
    assert.match(await page.locator('#files').innerText(), /print the PDF at 100 %[\s\S]*not to scale/);
    const said = () => page.locator('main').evaluate((main) => getComputedStyle(main, '::before').content);
    assert.equal(await said(), 'none');
    await page.emulateMedia({ media: 'print' });
    assert.match(await said(), /nothing here is to scale/);
    assert.equal(await page.locator('#files').getByRole('button').first().isVisible(), false);
    await context.close();
  });
}

test('names that are markup or scripts are text', async () => {
  const evil = '<img src=x onerror="document.title=1"><script>document.title=2</script>';
  for (const address of Object.values(live.pages.of)) {
    const { page, context } = await opened(live.chromium, address, desk);
    await measured(page);
    for (const view of views.slice(0, 4)) {
      await go(page, view);
      for (const summary of await page.locator('section:not([hidden]) summary').all()) {
        if (await summary.isVisible() && !(await summary.evaluate((each) => each.parentElement.open))) await summary.click();
      }
      for (const input of await page.locator('section:not([hidden]) input[type=text]').all()) {
        if (!(await input.isVisible())) continue;
        const before = await input.inputValue();
        await input.fill(evil);
        await settled(page);
        await input.fill(before);
      }
      assert.equal(await page.locator('img[src=x], section script').count(), 0, view);
    }
    assert.match(await page.title(), /^Stopwright/);
    await context.close();
  }
});
