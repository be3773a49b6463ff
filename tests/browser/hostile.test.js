// SPDX-License-Identifier: GPL-3.0-or-later
// Whatever a file calls a field, the page shows it as text and nothing more.
'use strict';

const assert = require('node:assert');
const fs = require('node:fs');
const { test } = require('node:test');
const { useBrowser, withPage } = require('./browser.js');
const { HOSTILE, season } = require('./made.js');

useBrowser();

test('names are shown as they are and do nothing', async () => {
  for (const size of ['phone', 'desktop'])
    await withPage('hostile', size, {}, async (page) => {
      const names = await page.locator('article[data-gets] h4').allTextContents();
      assert.deepStrictEqual(names, HOSTILE);
      for (let i = 1; i <= HOSTILE.length; i++) {
        await page.locator(`.tall a[href="#s1-${i}"], .ribbon a[href="#s1-${i}"]`).first().focus().catch(() => {});
        await page.evaluate((key) => document.querySelector(`.map .field[data-s="${key}"]`).dispatchEvent(new PointerEvent('pointerover', { bubbles: true })), `1-${i}`);
        assert.ok((await page.locator('#tell').textContent()).includes(HOSTILE[i - 1]));
      }
      assert.strictEqual(await page.evaluate(() => window.hit), undefined);
      assert.strictEqual(await page.locator('script:not([type="text/plain"])').count(), 1);
      assert.strictEqual(await page.locator('style').count(), 1);
      assert.strictEqual(await page.locator('img, iframe, object, embed, link').count(), 0);
      assert.strictEqual(await page.evaluate(() => [...document.querySelectorAll('*')]
        .filter((element) => [...element.attributes].some((attribute) => attribute.name.startsWith('on') || attribute.name === 'style')).length), 0);
    });
});

test('even a script that got in would not run: the page allows its own only', async () => {
  // The same page with a foreign script in it, as a bug in escaping would leave it.
  const file = season('hostile').html.replace('season.html', 'broken.html');
  const html = fs.readFileSync(season('hostile').html, 'utf8');
  fs.writeFileSync(file, html.replace('</main>', '<script>window.hit = 1</script><img src="x" onerror="window.hit = 1"></main>'));
  await withPage('hostile', 'desktop', {}, async (page) => {
    const refused = [];
    const other = await page.context().newPage();
    other.on('console', (message) => refused.push(message.text()));
    await other.goto(`file://${file}`);
    assert.strictEqual(await other.evaluate(() => window.hit), undefined);
    assert.ok(refused.some((text) => text.includes('Content Security Policy')));
  });
});
