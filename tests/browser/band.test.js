// SPDX-License-Identifier: GPL-3.0-or-later
// The band of the loads, where doubt was computed.
'use strict';

const assert = require('node:assert');
const { test } = require('node:test');
const { useBrowser, withPage } = require('./browser.js');

useBrowser();

test('the band lies around its middle line and inside its picture, in both themes', async () => {
  for (const colorScheme of ['light', 'dark'])
    await withPage('doubted', 'desktop', { colorScheme }, async (page) => {
      const figures = await page.locator('#load figure').evaluateAll((all) => all.map((figure) => {
        const box = (selector) => {
          const { y, height } = figure.querySelector(selector).getBBox();
          return [y, y + height];
        };
        return { band: box('.load .band'), median: box('.load .median'), height: figure.querySelector('.load').viewBox.baseVal.height };
      }));
      assert.ok(figures.length >= 3);
      for (const { band, median, height } of figures) {
        assert.ok(band[0] > 0 && band[1] < height);
        assert.ok(band[0] < median[0] && band[1] > median[1] - 0.01, `${band} around ${median}`);
      }
      // The band tells itself from the card, the areas and the line in it.
      const [band, rim, card] = await page.evaluate(() => {
        const style = (selector) => getComputedStyle(document.querySelector(selector));
        return [style('.load .band').fill, style('.load .rim').stroke, style('#load .scroll').backgroundColor];
      });
      assert.notStrictEqual(band, card);
      assert.notStrictEqual(rim, card);
    });
});

const UNITS = { k: 1e3, M: 1e6, G: 1e9, T: 1e12 };
const seeds = (text) => (text === '~0' ? 0.5 : parseFloat(text) * (UNITS[text.slice(-1)] ?? 1));

test('the numbers under the picture are in order, and a cleanout never adds seeds', async () => {
  await withPage('doubted', 'phone', {}, async (page) => {
    const tables = await page.locator('#load details').evaluateAll((all) => all.map((details) => {
      details.querySelector('summary').click();
      return [...details.querySelectorAll('tbody tr')].map((row) => [...row.querySelectorAll('td')].map((cell) => cell.textContent));
    }));
    assert.ok(tables.length >= 3);
    for (const rows of tables) {
      assert.strictEqual(rows.length, 16);
      rows.map((row) => row.map(seeds)).forEach((row, i, all) => {
        const [low, middle, high, lowAfter, middleAfter, highAfter] = row;
        assert.ok(low <= middle && middle <= high && lowAfter <= middleAfter && middleAfter <= highAfter, `${row}`);
        if (i > 0) assert.ok([0, 1, 2].every((q) => row[q] <= all[i - 1][q + 3]), `${row} after ${all[i - 1]}`);
      });
      assert.ok(rows.some((row) => seeds(row[5]) > 2 * seeds(row[3])));
    }
    assert.ok(await page.locator('#load details table').first().isVisible());
    const [width, room] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
    assert.ok(width <= room);
  });
});

test('a plan by hand has no band, the plan that was doubted has it again', async (context) => {
  await withPage('doubted', 'desktop', {}, async (page) => {
    if ((await page.locator('#model').count()) === 0) return context.skip('built without clang and wasm-ld');
    const before = await page.locator('#part-load').innerHTML();
    assert.match(before, /class="band"/);
    await page.locator('#hand-lists button').nth(1).click();
    await page.evaluate(() => byHand.drawn());
    assert.strictEqual(await page.locator('#load .band, #load .median, #load details').count(), 0);
    assert.ok((await page.locator('#load .loose').count()) >= 3);
    await page.locator('#hand-back').click();
    await page.evaluate(() => byHand.drawn());
    assert.strictEqual(await page.locator('#part-load').innerHTML(), before);
  });
});

test('on paper the band is there, and no table', async () => {
  await withPage('doubted', 'desktop', {}, async (page) => {
    await page.emulateMedia({ media: 'print' });
    assert.ok(await page.locator('#load .band').first().isVisible());
    assert.ok(!(await page.locator('#load details').first().isVisible()));
  });
});
