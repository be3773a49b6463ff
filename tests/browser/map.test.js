// SPDX-License-Identifier: GPL-3.0-or-later
// The map: no move runs through a name, a number leaves its field in sight, and whoever has no name
// there stands in the list.
'use strict';

const assert = require('node:assert');
const { test } = require('node:test');
const { SIZES, useBrowser, withPage } = require('./browser.js');

useBrowser();

// Names that a move runs through, looked for at points a pixel or two apart.
function crossedNames() {
  const map = [...document.querySelectorAll('.map')].find((one) => one.getBoundingClientRect().width > 0);
  const yards = new Set([...map.querySelectorAll('.yard')].map((yard) => yard.parentElement.querySelector('title').textContent));
  const names = [...map.querySelectorAll('.halo')].filter((name) => !yards.has(name.textContent)).map((name) => [name.textContent, name.getBBox()]);
  const crossed = new Set();
  for (const move of map.querySelectorAll('.move')) {
    const length = move.getTotalLength();
    for (let at = 0; at <= length; at += 1.5) {
      const { x, y } = move.getPointAtLength(at);
      for (const [name, box] of names)
        if (x > box.x && x < box.x + box.width && y > box.y + 2 && y < box.y + box.height - 2) crossed.add(name);
    }
  }
  return { crossed: [...crossed], names: names.length };
}

// Fields less than half of which is in sight beside the number that stands for them alone.
function hiddenFields() {
  const map = [...document.querySelectorAll('.map')].find((one) => one.getBoundingClientRect().width > 0);
  const hidden = [];
  for (const link of map.querySelectorAll('a:not([data-s])')) {
    const number = link.querySelector('.disc').getBoundingClientRect();
    const field = map.querySelector(`.field[data-s="${link.getAttribute('href').slice(2)}"]`).querySelector('path, circle').getBoundingClientRect();
    const width = Math.min(number.right, field.right) - Math.max(number.left, field.left);
    const height = Math.min(number.bottom, field.bottom) - Math.max(number.top, field.top);
    if (width > 0 && height > 0 && width * height > 0.5 * field.width * field.height) hidden.push(link.textContent);
  }
  return hidden;
}

for (const size of Object.keys(SIZES))
  for (const name of ['demo', 'coop', 'sixty']) {
    test(`${name}, ${size}: no move runs through a name, no number hides its field`, async () => {
      await withPage(name, size, {}, async (page) => {
        const { crossed, names } = await page.evaluate(crossedNames);
        assert.deepStrictEqual(crossed, []);
        if (size === 'desktop') assert.ok(names > 10, `${names} names and ratings`);
        assert.deepStrictEqual(await page.evaluate(hiddenFields), []);
      });
    });

    test(`${name}, ${size}: every field has its name on the map or in the list below`, async () => {
      await withPage(name, size, {}, async (page) => {
        const missing = await page.evaluate(() => {
          const seen = (element) => element.getBoundingClientRect().width > 0;
          const texts = (selector) => [...document.querySelectorAll(selector)].filter(seen).map((element) => element.textContent);
          // A label is cut after so many letters.
          const named = [...texts('.map .halo'), ...texts('.places li a')].map((text) => text.replace('…', ''));
          return [...document.querySelectorAll('article.stop[data-gets] h4')].map((title) => title.textContent)
            .filter((title) => !named.some((text) => title.startsWith(text)));
        });
        assert.deepStrictEqual(missing, []);
      });
    });
  }

test('a field shows as many strokes as its rating has a number, and none is too small to count them', async () => {
  await withPage('sixty', 'phone', {}, async (page) => {
    const fields = await page.locator('.map:visible .field').evaluateAll((all) => all.map((field) => {
      const shape = field.querySelector('path, circle');
      const [, id, number] = shape.getAttribute('fill').match(/#([tu](\d+))/);
      const strokes = document.getElementById(id).lastElementChild.getAttribute('d').match(/M/g)?.length ?? 0;
      const { width, height } = shape.getBBox();
      return { number: Number(number), strokes, longer: Math.max(width, height) };
    }));
    assert.ok(fields.length === 60 && fields.some(({ number }) => number === 4));
    for (const { number, strokes, longer } of fields) {
      assert.strictEqual(strokes, number);
      assert.ok(longer > 10.8, `${longer} long`);
    }
  });
});
