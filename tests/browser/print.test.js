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
      // Two cleaning jobs on one day need more than a page, and so may one with two other stops.
      const busy = days.filter(([stops, jobs]) => jobs > 1 || (jobs > 0 && stops > 2)).length;
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
