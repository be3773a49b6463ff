// SPDX-License-Identifier: GPL-3.0-or-later
// Board and ribbons on a phone, a screen and paper: no label lies on another or leaves its picture,
// days without work are a break that says how many, and the page tells what `--board` prints.
'use strict';

const assert = require('node:assert');
const { execFileSync } = require('node:child_process');
const { test } = require('node:test');
const { season } = require('./made.js');
const { SIZES, badLabels, useBrowser, withPage } = require('./browser.js');

useBrowser();

const NAMES = ['demo', 'coop', 'fourteen', 'sixty', 'two', 'hostile', 'rest', 'weeds8', 'rules'];

for (const name of NAMES)
  test(`${name}: no label of boards and ribbons lies on another, on a phone, a screen and paper`, async () => {
    await withPage(name, 'desktop', {}, async (page) => {
      const look = async (width, where) => {
        await page.setViewportSize({ width, height: 725 });
        for (const picture of ['.board', '.ribbon:not(.piece)', '.tall-head svg'])
          assert.deepStrictEqual(await page.evaluate(badLabels, picture), [], `${picture}, ${where}`);
      };
      await look(390, 'phone');
      await look(1280, 'screen');
      // A long ribbon is cut into pieces, which cover what is another piece's: print.test.js has these.
      await page.evaluate(() => dispatchEvent(new Event('beforeprint')));
      await page.emulateMedia({ media: 'print' });
      await look(1054, 'paper'); // A4 across without its margins
    });
  });

// What `--board` prints of the plan that a page is of.
function board(name) {
  const { inputs, plan } = season(name);
  return execFileSync(process.env.SEEDBREAK, ['trace', ...inputs, '--plan', plan, '--board', '--quiet'], { encoding: 'utf8' });
}

test('the board breaks where days are left out, with the words that the text has', async () => {
  for (const name of ['demo', 'coop'])
    await withPage(name, 'phone', {}, async (page) => {
      const breaks = await page.locator('.board .skip + text').allTextContents();
      const printed = [...board(name).matchAll(/---- (.*) ----/g)].map(([, words]) => words);
      assert.ok(printed.length > 2 && printed.some((words) => words.includes('blocked')), `${printed}`);
      assert.deepStrictEqual(breaks, printed);
      // The clock's rules stop there: nothing runs through the words.
      const open = await page.locator('.board .skip').evaluateAll((all) => all.filter((one) => {
        const cover = one.previousElementSibling.getBoundingClientRect();
        const words = one.nextElementSibling.getBoundingClientRect();
        return !(cover.left <= words.left && cover.right >= words.right && cover.top <= words.top + 3 && cover.bottom >= words.bottom - 3);
      }).length);
      assert.strictEqual(open, 0);
    });
});

for (const size of Object.keys(SIZES))
  test(`${size}: the hours of each machine are all in sight, in the order that the text has`, async () => {
    await withPage('coop', size, {}, async (page) => {
      const printed = board('coop').split('\n');
      const head = printed.find((line) => line.startsWith('Hours'));
      const rows = printed.slice(printed.indexOf(head) + 1).filter((line) => line !== '');
      const cells = (line) => line.trim().split(/ {2,}/);
      assert.deepStrictEqual(await page.locator('.hours thead th').allTextContents(), cells(head).slice(1));
      const told = await page.locator('.hours tbody').evaluateAll((all) => all.map((one) =>
        [...one.querySelectorAll('th, td')].map((cell) => cell.textContent)));
      assert.deepStrictEqual(told, rows.map((row) => row.match(/^(.*?) +(\S+) +(\S+) +(\S+) +(\S+)$/).slice(1)));
      const hidden = await page.locator('.hours').evaluate((table) => table.parentElement.scrollWidth - table.parentElement.clientWidth);
      assert.ok(hidden <= 0, `${hidden} pixels are out of sight`);
    });
  });

test('below the board stands for what machines wait a day and more', async () => {
  await withPage('coop', 'phone', {}, async (page) => {
    const told = (await page.locator('.waits li').allTextContents()).map((words) => words.replace(/.* for /s, '').replace(/ +/g, ' ').trim());
    assert.ok(told.length > 2, `${told.length}`);
    const printed = board('coop').replace(/\s+/g, ' ');
    for (const words of told) assert.ok(printed.includes(`waiting for ${words}`), words);
  });
});

test('a ribbon is torn where its machine waits for days, and says for how many and for what', async () => {
  for (const name of ['demo', 'coop'])
    await withPage(name, 'desktop', {}, async (page) => {
      const told = await page.locator('.ribbon .tear title').allTextContents();
      assert.ok(told.length > 1, `${told.length}`);
      const printed = board(name).replace(/\s+/g, ' ');
      for (const words of told)
        assert.ok(printed.includes(words.replace(/^\d+ days? /, '').replace(/ +/g, ' ')), words);
      const within = await page.locator('.ribbon .tear').evaluateAll((all) => all.map((tear) => {
        const cover = tear.querySelector('.cover').getBoundingClientRect();
        const words = tear.querySelector('text').getBoundingClientRect();
        return [tear.querySelector('text').textContent, words.left - cover.left, cover.right - words.right];
      }));
      for (const [words, left, right] of within) assert.ok(left > 2 && right > 2, `${words} lies on the edge: ${left}, ${right}`);
      await page.setViewportSize({ width: 390, height: 844 });
      assert.deepStrictEqual(await page.locator('.tall .tear small').allTextContents(), told);
    });
});
