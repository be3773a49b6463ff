// SPDX-License-Identifier: GPL-3.0-or-later
// On paper: a page for every machine and day, with its cautions.
'use strict';

const assert = require('node:assert');
const { test } = require('node:test');
const { useBrowser, withPage } = require('./browser.js');

useBrowser();

test('on paper three boards of a long season stand side by side, and none is higher than a sheet', async () => {
  await withPage('two', 'desktop', {}, async (page) => {
    await page.setViewportSize({ width: 1050, height: 720 }); // A4 across without its margins
    await page.emulateMedia({ media: 'print' });
    const boxes = await page.locator('#board .board').evaluateAll((all) => all.map((board) => {
      const { left, width, height } = board.getBoundingClientRect();
      return { left, height, unit: Math.min(width / board.viewBox.baseVal.width, height / board.viewBox.baseVal.height) };
    }));
    assert.ok(boxes.length > 1);
    assert.strictEqual(new Set(boxes.map(({ left }) => Math.round(left))).size, Math.min(boxes.length, 3));
    for (const { height, unit } of boxes) {
      assert.ok(height <= (182 / 25.4) * 96, `${height} high`);
      assert.ok(unit > 0.98, `a unit is ${unit} pixels`); // day and number, of 12 units, are 9 points high
    }
  });
});

// A4 across without its margins; a point is 96 / 72 pixels.
test('letters of pictures can be read on paper', async () => {
  for (const name of ['demo', 'coop', 'sixty'])
    await withPage(name, 'desktop', {}, async (page) => {
      await page.setViewportSize({ width: 1054, height: 725 });
      await page.emulateMedia({ media: 'print' });
      const small = await page.evaluate(() => [...document.querySelectorAll('.ribbon:not(.long) text, .map text, .load text, .matrix text')]
        .filter((label) => label.getBoundingClientRect().width > 0 && label.textContent.trim() !== '')
        .map((label) => {
          const { a, b } = label.getScreenCTM();
          return [label.textContent, (parseFloat(getComputedStyle(label).fontSize) * Math.hypot(a, b) * 72) / 96];
        })
        .filter(([, points]) => points < 6.3)
        .map(([text, points]) => `${text} ${points.toFixed(1)}`));
      assert.deepStrictEqual(small, [], name);
    });
});

test('a ribbon longer than a sheet is wide is cut into pieces, and whole again afterwards', async () => {
  await withPage('sixty', 'phone', {}, async (page) => {
    await page.evaluate(() => dispatchEvent(new Event('beforeprint')));
    await page.setViewportSize({ width: 1054, height: 725 });
    await page.emulateMedia({ media: 'print' });
    assert.ok(await page.locator('.ribbon.long').isHidden());
    const pieces = await page.locator('.ribbon.piece').evaluateAll((all) => all.map((piece) => {
      const frame = piece.getBoundingClientRect();
      const within = (element) => {
        const box = element.getBoundingClientRect();
        return box.left > frame.left - 1 && box.right < frame.right + 1;
      };
      const letters = [...piece.querySelectorAll('a text')];
      return {
        stops: [...piece.querySelectorAll('a .number')].map((number) => number.textContent),
        within: letters.every(within) && [...piece.querySelectorAll('.lane')].every(within),
        lanes: piece.querySelectorAll('.lane').length,
        covers: [...piece.querySelectorAll(':scope > .cover')].map((one) => one.getBoundingClientRect()).every(({ left, right }) => left <= frame.left || right >= frame.right),
        points: (11 * piece.getScreenCTM().a * 72) / 96,
      };
    }));
    assert.ok(pieces.length > 1 && pieces.every((piece) => piece.within && piece.covers && piece.lanes === 3 && piece.points > 6.3), JSON.stringify(pieces));
    assert.deepStrictEqual(pieces.flatMap(({ stops }) => stops), Array.from({ length: 60 }, (_, i) => String(i + 1)));
    await page.evaluate(() => dispatchEvent(new Event('afterprint')));
    assert.strictEqual(await page.locator('.piece').count(), 0);
  });
});

test('nothing is wider than its sheet: a browser shrinks all pages for what is', async () => {
  for (const name of ['demo', 'coop', 'sixty', 'weighed', 'doubted'])
    await withPage(name, 'desktop', {}, async (page) => {
      await page.emulateMedia({ media: 'print' });
      for (const [across, width] of [[false, 726], [true, 1054]]) { // A4 without its margins
        await page.setViewportSize({ width, height: 725 });
        const wide = await page.evaluate(([isAcross, most]) => [...document.querySelectorAll('body *')]
          .filter((one) => one.getBoundingClientRect().right > most + 1 && isAcross === (one.closest('.wide, header, #part-totals') !== null))
          .map((one) => `${one.tagName} of ${one.closest('[id]').id}`), [across, width]);
        assert.deepStrictEqual(wide, [], name);
      }
    });
});

test('the map, its legend and the list of names take one sheet, three small matrices two', async () => {
  for (const [name, part, sheets] of [['demo', 'map', 1], ['coop', 'map', 1], ['sixty', 'map', 1], ['demo', 'matrix', 2], ['coop', 'matrix', 4]])
    await withPage(name, 'desktop', {}, async (page) => {
      await page.evaluate((shown) => {
        for (const one of document.querySelectorAll('header, main > *')) one.hidden = one.id !== shown;
      }, part);
      assert.strictEqual(pagesOf(await page.pdf(PAPER)), sheets, `${part} of ${name}`);
    });
});

const PAPER = { format: 'A4', preferCSSPageSize: true };
const pagesOf = (pdf) => pdf.toString('latin1').match(/\/Type\s*\/Page\b(?!s)/g).length;

test("the co-op's board is one sheet to pin on a wall", async () => {
  await withPage('coop', 'desktop', {}, async (page) => {
    const days = await page.locator('#board text:not(.tiny)').evaluateAll((all) => all.filter(({ textContent }) => /^\w{3}\s+\d/.test(textContent)).length);
    assert.ok(days > 20, `${days} days`);
    await page.evaluate(() => {
      for (const part of document.querySelectorAll('header, main > *')) part.hidden = part.id !== 'board';
    });
    assert.strictEqual(pagesOf(await page.pdf(PAPER)), 1);
  });
});

test("the crew's sheets take one page for every machine and day", async () => {
  for (const name of ['demo', 'two', 'coop'])
    await withPage(name, 'desktop', {}, async (page) => {
      const days = await page.locator('.day').evaluateAll((all) =>
        all.map((day) => [day.querySelectorAll('article').length, day.querySelectorAll('.job').length]));
      assert.ok(days.length > 8);
      // A cleaning job can fill a page: with another stop or job on its day it may need a second.
      const busy = days.filter(([stops, jobs]) => jobs > 0 && stops > 1).length;
      assert.ok(busy < days.length / 4);
      // What the button does before it calls print.
      await page.evaluate(() => document.documentElement.classList.add('crew-only'));
      const pages = pagesOf(await page.pdf(PAPER));
      assert.ok(pages >= days.length && pages <= days.length + busy, `${name}: ${pages} pages, ${days.length} days`);
    });
});

test('the button prints only these, and all comes back afterwards', async () => {
  await withPage('demo', 'desktop', {}, async (page) => {
    await page.evaluate(() => {
      window.printed = [];
      window.print = () => window.printed.push(document.documentElement.className);
    });
    await page.locator('#print-crew').click();
    await page.locator('#print-all').click();
    assert.deepStrictEqual(await page.evaluate(() => window.printed), ['crew-only', '']);
  });
});

test('everything on paper: pictures first, all days, then tables', async () => {
  await withPage('demo', 'desktop', {}, async (page) => {
    const days = await page.locator('.day').count();
    const pages = pagesOf(await page.pdf(PAPER));
    assert.ok(pages > days + 5 && pages < days + 15, `${pages} pages for ${days} days`);
  });
});

test('on paper the page is white, linked panels are gone, every job has its cautions', async () => {
  await withPage('demo', 'desktop', { colorScheme: 'dark' }, async (page) => {
    await page.emulateMedia({ media: 'print' });
    assert.strictEqual(await page.evaluate(() => getComputedStyle(document.body).backgroundColor), 'rgb(255, 255, 255)');
    for (const gone of ['nav', '#choice', '#actions', '#tell', '.tall'])
      assert.ok(await page.locator(gone).first().isHidden(), gone);
    const jobs = await page.locator('.job').count();
    assert.ok(jobs > 3);
    assert.strictEqual(await page.locator('.job .care:visible').count(), jobs);
    assert.ok(await page.locator('.ribbon').isVisible());
  });
});
