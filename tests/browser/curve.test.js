// SPDX-License-Identifier: GPL-3.0-or-later
// The handle of the trade-off curve: steps through the plans, and everything follows.
'use strict';

const assert = require('node:assert');
const fs = require('node:fs');
const { test } = require('node:test');
const { useBrowser, withPage } = require('./browser.js');
const { season } = require('./made.js');

useBrowser();

const total = async (page) => Number((await page.locator('.total b').innerText()).replace(/[^\d.]/g, ''));

test('stepping along the curve shows every plan as weigh found it', async (context) => {
  await withPage('weighed', 'desktop', {}, async (page) => {
    const { points, best } = JSON.parse(fs.readFileSync(season('weighed').curve));
    const slider = page.locator('#trade-plan');
    assert.strictEqual(Number(await slider.getAttribute('max')), points.length - 1);
    assert.ok(points.length > 2);
    const withModel = (await page.locator('#model').count()) > 0;
    if (!withModel) context.diagnostic('built without clang and wasm-ld: only the curve follows the handle');
    await slider.focus();
    await page.keyboard.press('Home');
    for (let i = 0; i < points.length; i++) {
      if (i > 0) await page.keyboard.press('ArrowRight');
      assert.match(await page.locator('#trade-told').innerText(), new RegExp(`^Plan ${i + 1}:`));
      assert.deepStrictEqual(await page.locator('#trade .chosen').evaluateAll((all) => all.map((element) => element.dataset.plan)), [String(i), String(i)]);
      if (!withModel) continue;
      await page.waitForFunction((expected) => Math.abs(byHand.evaluate(byHand.plan()).total - expected) < 1e-6 * expected, points[i].plan.cost.total);
      await page.evaluate(() => byHand.drawn());
      assert.ok(Math.abs((await total(page)) - points[i].plan.cost.total) <= 0.5);
      const fields = points[i].plan.machines[0].stops.map((stop) => stop.field);
      assert.deepStrictEqual(await page.locator('article[data-gets] h4').allInnerTexts(), fields);
      assert.deepStrictEqual(await page.locator('#hand-lists li bdi').allInnerTexts(), fields);
    }
    if (withModel) {
      await page.locator('#hand-back').click();
      assert.match(await page.locator('#trade-told').innerText(), new RegExp(`^Plan ${best + 1}:`));
    }
  });
});

test('a plan can be picked in the picture and in the table, on a phone too', async () => {
  for (const size of ['desktop', 'phone'])
    await withPage('weighed', size, {}, async (page) => {
      await page.locator('.trade [data-plan="0"]').click();
      assert.match(await page.locator('#trade-told').innerText(), /^Plan 1:/);
      await page.locator('#trade-plans tr[data-plan="1"] th').click();
      assert.match(await page.locator('#trade-told').innerText(), /^Plan 2:/);
    });
});
