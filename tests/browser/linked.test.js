// SPDX-License-Identifier: GPL-3.0-or-later
// Point at a stop anywhere and it lights up everywhere: by pointer, by touch, by keyboard.
'use strict';

const assert = require('node:assert');
const { test } = require('node:test');
const { useBrowser, withPage } = require('./browser.js');

useBrowser();

const litIn = (page, where) => page.locator(`${where} .lit`).count();
const told = (page) => page.locator('#tell').innerText();

test('a stop under the pointer lights up in every picture and says what it gets', async () => {
  await withPage('demo', 'desktop', {}, async (page) => {
    assert.ok(await page.locator('#tell').isHidden());
    await page.locator('#ribbon a[href="#s1-4"] .disc').hover();
    for (const where of ['#ribbon', '#map', '#board', '#load', '#matrix'])
      assert.ok(await litIn(page, where) > 0, where);
    const name = await page.locator('#s1-4 h4').innerText();
    const gets = await page.locator('#s1-4 .gets').innerText();
    assert.ok((await told(page)).includes(name));
    assert.ok((await told(page)).includes(gets));
    const givers = (await page.locator('#s1-4').getAttribute('data-gets')).split(' ').filter(Boolean);
    for (const giver of givers)
      assert.strictEqual(await page.locator(`.map:visible .field[data-s="${giver}"].giver`).count(), 1);
    await page.locator('h1').hover();
    assert.strictEqual(await page.locator('.lit').count(), 0);
    assert.ok(await page.locator('#tell').isHidden());
  });
});

test('a click keeps a stop, Escape lets it go', async () => {
  await withPage('demo', 'desktop', {}, async (page) => {
    await page.locator('.map:visible a[href="#s1-6"] .disc').click();
    await page.locator('h1').hover();
    assert.ok(await litIn(page, '#ribbon') > 0);
    assert.ok(await page.locator('#tell').isVisible());
    assert.ok(!page.url().includes('#s'));
    await page.keyboard.press('Escape');
    assert.strictEqual(await page.locator('.lit').count(), 0);
    assert.ok(await page.locator('#tell').isHidden());
  });
});

test('a finger on the map does the same, and leads on to the card', async () => {
  await withPage('demo', 'phone', { hasTouch: true, isMobile: true }, async (page) => {
    await page.locator('.map:visible a[href="#s1-7"] .disc').tap();
    assert.ok((await told(page)).includes(await page.locator('#s1-7 h4').innerText()));
    await page.locator('#tell a').tap();
    assert.ok(page.url().endsWith('#s1-7'));
    const top = await page.locator('#s1-7').evaluate((card) => card.getBoundingClientRect().top);
    assert.ok(top >= 0 && top < 200, `${top}`);
  });
});

test('a cell of the matrix says who gives what to whom', async () => {
  await withPage('demo', 'desktop', {}, async (page) => {
    const grid = page.locator('#matrix .grid').first();
    const [row, column, seeds] = (await grid.getAttribute('data-seeds')).split(';')[0].split(',').map(Number);
    const [left, top, width, height] = (await grid.getAttribute('data-box')).split(' ').map(Number);
    const giver = (await grid.getAttribute('data-rows')).split(' ')[row];
    const taker = await page.locator('article[data-gets]').nth(column).getAttribute('id');
    const picture = page.locator('#matrix .matrix').first();
    await picture.hover({ position: { x: left + (column + 0.5) * width, y: top + (row + 0.5) * height } });
    const text = await told(page);
    assert.ok(text.includes(await page.locator(`#s${giver} h4`).innerText()), text);
    assert.ok(text.includes(await page.locator(`#${taker} h4`).innerText()), text);
    const shown = text.match(/gives ([\d.]+)(k?) seeds/);
    assert.ok(Math.abs(shown[1] * (shown[2] ? 1000 : 1) - seeds) <= 0.006 * seeds, text);
    assert.strictEqual(await page.locator('.cross').count(), 1);
  });
});

test('the keyboard alone reaches every stop and its card', async () => {
  await withPage('demo', 'desktop', {}, async (page) => {
    const reached = [];
    for (let i = 0; i < 60 && reached.length < 16; i++) {
      await page.keyboard.press('Tab');
      const key = await page.evaluate(() => document.activeElement.closest('#ribbon a')?.getAttribute('href'));
      if (!key) continue;
      reached.push(key);
      assert.ok((await told(page)).includes(await page.locator(`${key} h4`).innerText()));
      assert.ok(await litIn(page, '#map') > 0);
    }
    assert.strictEqual(new Set(reached).size, 16);
    await page.keyboard.press('Enter');
    await page.waitForFunction((key) => location.hash === key, reached.at(-1));
  });
});

test('choosing a weed shows its ratings on the map and its pictures only', async () => {
  await withPage('demo', 'desktop', {}, async (page) => {
    const fills = () => page.locator('.map:visible .field').evaluateAll((fields) =>
      fields.map((field) => [field.dataset.r.split(' '), field.querySelector('path, circle').getAttribute('fill').match(/^url\(#[tu](\d+)\)$/)[1]]));
    const names = await (await page.locator('#choice label').allInnerTexts()).slice(1).map((name) => name.trim());
    assert.ok(names.length >= 3);
    for (let i = 0; i < names.length; i++) {
      await page.locator('#choice label').nth(i + 1).click();
      for (const [ratings, texture] of await fills()) assert.strictEqual(texture, ratings[i + 1]);
      assert.deepStrictEqual(await page.locator('#matrix figure:visible figcaption span').allInnerTexts(), [names[i]]);
      assert.deepStrictEqual(await page.locator('#load figure:visible figcaption span').allInnerTexts(), [names[i]]);
    }
    await page.locator('#choice label').first().click();
    for (const [ratings, texture] of await fills()) assert.strictEqual(texture, ratings[0]);
    assert.strictEqual(await page.locator('#matrix figure:visible').count(), names.length);
  });
});

test('without scripts ribbon, map and cards are there and nothing that would not work', async () => {
  await withPage('demo', 'phone', { javaScriptEnabled: false }, async (page) => {
    assert.strictEqual(await page.locator('article.stop').count(), 17);
    assert.ok(await page.locator('.tall').isVisible());
    assert.ok(await page.locator('.map').last().isVisible());
    assert.ok(await page.locator('#matrix noscript').count() === 1);
    assert.ok(await page.locator('#by-hand').isHidden());
    assert.ok(await page.locator('#choice').isHidden());
    assert.ok(await page.locator('#actions').isHidden());
    await page.locator('.tall a[href="#s1-3"]').click();
    assert.ok(page.url().endsWith('#s1-3'));
  });
});

test('on a day of the season the page leads each machine to where it is, and on no other', async () => {
  const days = async (page) => page.locator('.day').evaluateAll((all) => all.map((day) => [Number(day.dataset.day), day.querySelector('article').id]));
  let all;
  await withPage('coop', 'phone', { before: (page) => page.clock.setFixedTime(new Date(2026, 5, 1, 12)) }, async (page) => {
    all = await days(page);
    assert.ok(await page.locator('#today').isHidden());
  });
  // The second day of the first machine.
  const [day, card] = all[1];
  const noon = new Date(0);
  noon.setFullYear(1970, 0, 1 + day);
  noon.setHours(12, 0, 0, 0);
  await withPage('coop', 'phone', { before: (page) => page.clock.setFixedTime(noon) }, async (page) => {
    const links = await page.locator('#today a').evaluateAll((found) => found.map((link) => link.hash.slice(1)));
    // Which machines are at work by then is the plan's affair, which a clock ended.
    const machines = [...new Set(all.map(([, id]) => id.split('-')[0]))];
    const atWork = machines.filter((machine) => {
      const own = all.filter(([, id]) => id.split('-')[0] === machine).map(([on]) => on);
      return Math.min(...own) <= day && day <= Math.max(...own);
    });
    assert.strictEqual(links.length, atWork.length);
    assert.strictEqual(links[0].split('-')[0], card.split('-')[0]);
    await page.locator('#today a').first().click();
    assert.ok(await page.locator(`#${links[0]}`).isVisible());
    assert.strictEqual(await page.locator('.day.now').first().getAttribute('data-day'), String(day));
  });
});

test('on a phone cautions and steps unfold when they are wanted, and paper has them all', async () => {
  await withPage('demo', 'phone', {}, async (page) => {
    const job = page.locator('.job').first();
    assert.ok(await job.locator('.care').isHidden());
    await job.locator('summary').click();
    assert.ok(await job.locator('.care').isVisible());
    await page.evaluate(() => dispatchEvent(new Event('beforeprint')));
    assert.strictEqual(await page.locator('.how:not([open])').count(), 0);
    await page.evaluate(() => dispatchEvent(new Event('afterprint')));
    assert.strictEqual(await page.locator('.how[open]').count(), 1);
  });
});
