// SPDX-License-Identifier: GPL-3.0-or-later
// What a person would see at a glance: nothing runs off the page, no label lies on another, and
// axe-core finds nothing that shuts anybody out.
'use strict';

const assert = require('node:assert');
const fs = require('node:fs');
const { test } = require('node:test');
const { SIZES, badLabels, useBrowser, withPage } = require('./browser.js');

useBrowser();

const AXE = fs.readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const NAMES = ['demo', 'two', 'sixty', 'hostile', 'weighed', 'doubted', 'coop'];

// Letters of pictures that are less than 11 pixels high as shown, and numbers wider than the disc or
// the bar that they stand on.
function badNumbers() {
  const bad = [];
  for (const label of document.querySelectorAll('svg text')) {
    const box = label.getBoundingClientRect();
    if (box.width === 0 || label.textContent.trim() === '') continue;
    const { a, b } = label.getScreenCTM();
    const pixels = parseFloat(getComputedStyle(label).fontSize) * Math.hypot(a, b);
    if (pixels < 10.95) bad.push(`${label.textContent} is ${pixels.toFixed(1)} high`);
    if (!label.matches('.number, .board .strong')) continue;
    const ground = label.previousElementSibling.getBoundingClientRect();
    if (box.left < ground.left || box.right > ground.right) bad.push(`${label.textContent} is too wide`);
  }
  return bad;
}

for (const size of Object.keys(SIZES))
  for (const name of ['demo', 'coop', 'sixty', 'doubted', 'weighed'])
    test(`${name}, ${size}: letters can be read, numbers stay on what they stand on`, async () => {
      await withPage(name, size, {}, async (page) => {
        assert.deepStrictEqual(await page.evaluate(badNumbers), []);
      });
    });

test('the matrix of sixty fields shows on a laptop what each gives and receives', async () => {
  await withPage('sixty', 'desktop', {}, async (page) => {
    const hidden = await page.locator('#matrix .scroll').evaluateAll((all) => all.filter((one) => one.scrollWidth > one.clientWidth).length);
    assert.strictEqual(hidden, 0);
  });
});

test('on a tablet the letters of the map can be read', async () => {
  await withPage('coop', 'phone', { viewport: { width: 768, height: 1024 } }, async (page) => {
    const small = (await page.evaluate(badNumbers)).filter((label) => label.includes(' high'));
    assert.deepStrictEqual(small, []);
    assert.ok(await page.locator('.map').first().isVisible());
  });
});

test('every axis says what it counts', async () => {
  await withPage('weighed', 'desktop', {}, async (page) => {
    const words = (selector) => page.locator(selector).evaluateAll((all) => all.map((picture) =>
      [...picture.querySelectorAll('text')].map((label) => label.textContent)));
    const [ribbon] = await words('.ribbon');
    assert.strictEqual(ribbon.filter((word) => word === 'seeds').length, 3);
    const loads = await words('.load');
    assert.strictEqual(loads.length, 6); // of three weeds, wide and narrow
    for (const load of loads) assert.strictEqual(load.filter((word) => word === 'seeds').length, 1);
    assert.ok(loads[0].includes('16'), 'stops have their number');
    const [curve] = await words('.trade');
    assert.strictEqual(curve.filter((word) => word.includes('USD')).length, 2);
  });
});

test("the phone's ribbon says how many seeds a field receives, as the wide one does", async () => {
  await withPage('demo', 'phone', {}, async (page) => {
    const told = await page.locator('.tall em i').allTextContents();
    const wide = await page.locator('.ribbon .tiny.mid text').allTextContents();
    assert.ok(wide.length > 12, `${wide.length}`);
    for (const words of wide) assert.ok(told.includes(words), words);
  });
});

for (const [name, weeds] of [['demo', 3], ['weeds5', 5], ['weeds6', 6], ['weeds8', 8]])
  test(`${name}: on a phone every amount stands on a plate in its lane, and on no other`, async () => {
    await withPage(name, 'phone', {}, async (page) => {
      const rows = await page.locator('.tall li:not(.gap) a').evaluateAll((all) => all.map((row) => {
        const lanes = row.querySelector('svg').getBoundingClientRect();
        const { top, bottom } = row.getBoundingClientRect();
        const told = [...row.querySelectorAll('em i')].map((amount, lane) => {
          const box = amount.getBoundingClientRect();
          return {
            words: amount.textContent, lane, left: box.left, right: box.right, top: box.top, bottom: box.bottom,
            plate: getComputedStyle(amount).backgroundColor, inside: box.left >= lanes.left - 0.5 && box.right <= lanes.right + 0.5 && box.top >= top && box.bottom <= bottom,
          };
        }).filter(({ words }) => words !== '');
        return { told, left: lanes.left, width: lanes.width };
      }));
      const card = await page.locator('.tall').first().evaluate((element) => getComputedStyle(element).backgroundColor);
      assert.ok(rows.filter(({ told }) => told.length > 0).length > 3);
      for (const { told, left, width } of rows)
        for (const one of told) {
          assert.strictEqual(one.plate, card);
          assert.ok(one.inside, `${one.words} leaves its row`);
          const off = ((one.left + one.right) / 2 - left) / (width / weeds) - one.lane - 0.5;
          const outer = one.lane === 0 || one.lane === weeds - 1; // pushed in
          assert.ok(Math.abs(off) < (outer ? 0.6 : 0.05), `${one.words} is ${off} lanes off`);
          for (const other of told)
            if (other !== one)
              assert.ok(one.right <= other.left || other.right <= one.left || one.bottom <= other.top || other.bottom <= one.top, `${one.words} lies on ${other.words}`);
        }
    });
  });

test('on a phone the load and the map need no scrolling', async () => {
  await withPage('doubted', 'phone', {}, async (page) => {
    const wide = await page.locator('.load, .map').evaluateAll((all) => all
      .map((picture) => picture.getBoundingClientRect()).filter(({ width }) => width > 0 && width > innerWidth - 20).length);
    assert.strictEqual(wide, 0);
    assert.strictEqual(await page.locator('.load:visible').count(), 3);
  });
});

for (const size of Object.keys(SIZES))
  for (const name of NAMES) {
    test(`${name}, ${size}: nothing runs off the page, no label lies on another`, async () => {
      await withPage(name, size, {}, async (page) => {
        const [width, room] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
        assert.ok(width <= room, `${width} wider than ${room}`);
        for (const picture of ['.ribbon', '.map', '.load', '.board', '.matrix', '.trade', '.tall-head svg'])
          assert.deepStrictEqual(await page.evaluate(badLabels, picture), [], picture);
        const cut = await page.evaluate(() => [...document.querySelectorAll('h1, h2, h3, h4, dd, td, p, li, button')]
          .filter((element) => element.scrollWidth > element.clientWidth + 1 && getComputedStyle(element).display !== 'inline')
          .map((element) => element.textContent.slice(0, 40)));
        assert.deepStrictEqual(cut, []);
      });
    });
  }

for (const size of Object.keys(SIZES))
  for (const [name, colorScheme] of [['weighed', 'light'], ['weighed', 'dark'], ['doubted', 'light'], ['doubted', 'dark'], ['coop', 'light']]) {
    test(`axe-core finds nothing: ${name}, ${size}, ${colorScheme}`, async () => {
      await withPage(name, size, { colorScheme }, async (page) => {
        await page.evaluate(AXE);
        const { violations, passes } = await page.evaluate(() => axe.run(document, { resultTypes: ['violations', 'passes'] }));
        const found = violations.map(({ id, nodes }) => `${id}: ${nodes.slice(0, 3).map((node) => node.html.slice(0, 120)).join(' | ')}`);
        assert.deepStrictEqual(found, []);
        assert.ok(passes.length > 20);
      });
    });
  }

test('what a finger taps is large enough', async () => {
  await withPage('doubted', 'phone', { hasTouch: true, isMobile: true }, async (page) => {
    // WCAG 2.2, 2.5.8: 24 by 24 CSS pixels.
    const small = await page.evaluate(() => [...document.querySelectorAll('.tall a, nav a, button, summary, #choice label')]
      .map((element) => [element.textContent, element.getBoundingClientRect()])
      .filter(([, box]) => box.width > 0 && (box.width < 24 || box.height < 24))
      .map(([text]) => text));
    assert.deepStrictEqual(small, []);
  });
});
