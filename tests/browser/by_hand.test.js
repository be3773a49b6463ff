// SPDX-License-Identifier: GPL-3.0-or-later
// Plans by hand: the page prices them as the library does, shows them at once, and saves them.
'use strict';

const assert = require('node:assert');
const { execFileSync } = require('node:child_process');
const fs = require('node:fs');
const path = require('node:path');
const { test } = require('node:test');
const { useBrowser, withPage } = require('./browser.js');
const { random, season } = require('./made.js');

useBrowser();

const { PRICE_PLANS, SEEDBREAK, WORK } = process.env;

// Opens a page with its model running, or skips where it was built without one.
const withModel = (context, name, size, options, check) =>
  withPage(name, size, options, async (page) => {
    if ((await page.locator('#model').count()) === 0) {
      context.skip('built without clang and wasm-ld: no plans by hand');
      return;
    }
    assert.ok(await page.evaluate(() => byHand.ready), 'the model runs');
    await check(page);
  });

const names = (page) => page.locator('#hand-lists li bdi').allInnerTexts();
const total = async (page) => Number((await page.locator('.total b').innerText()).replace(/[^\d.]/g, ''));

// Every field once, shared out among the machines in any order, each with any cleanout.
function randomPlan(next, start, nLevels) {
  const fields = start.flatMap((route) => route.stops.map(([field]) => field));
  for (let i = fields.length - 1; i > 0; i--) {
    const k = Math.floor(next() * (i + 1));
    [fields[i], fields[k]] = [fields[k], fields[i]];
  }
  const routes = start.map((route) => ({ ...route, final: Math.floor(next() * (nLevels + 1)) - 1, stops: [] }));
  for (const field of fields) routes[Math.floor(next() * routes.length)].stops.push([field, Math.floor(next() * nLevels)]);
  return routes;
}

test('1,000 random plans cost on the page what they cost in the library', async (context) => {
  for (const [name, count] of [['demo', 400], ['two', 300], ['rules', 300]])
    await withModel(context, name, 'desktop', {}, async (page) => {
      const start = await page.evaluate(() => byHand.plan());
      const next = random(count);
      const plans = Array.from({ length: count }, () => randomPlan(next, start, 4));
      const found = await page.evaluate((all) => all.map((plan) => byHand.evaluate(plan)), plans);
      const lines = plans.map((plan) => [plan.length, ...plan.flatMap((r) => [r.machine, r.stops.length, r.final, ...r.stops.flat()])].join(' '));
      const out = execFileSync(PRICE_PLANS, season(name).inputs, { input: lines.join('\n') }).toString().trim().split('\n');
      assert.strictEqual(out.length, count);
      const counts = new Set();
      out.forEach((line, i) => {
        const [travel, cleanout, spread, delay, sum, rules] = line.split(' ').map(Number);
        for (const [what, expected] of Object.entries({ travel, cleanout, spread, delay, total: sum }))
          assert.ok(Math.abs(found[i][what] - expected) <= 1e-9 * Math.abs(expected), `${name} ${i}: ${what} ${found[i][what]}, library ${expected}`);
        assert.strictEqual(found[i].broken, rules);
        assert.strictEqual(found[i].rules.length, rules);
        counts.add(rules);
      });
      if (name === 'rules') assert.ok(counts.size > 4, `as many rules broken: ${[...counts]}`);
    });
});

test('what the page draws is what the library drew', async (context) => {
  for (const name of ['demo', 'two', 'hostile'])
    await withModel(context, name, 'desktop', {}, async (page) => {
      const differing = await page.evaluate(async () => {
        await seasonPage.ready;
        const parts = [...document.querySelectorAll('.part')];
        const before = parts.map((part) => part.innerHTML);
        // Away and back: by another plan, so that everything is drawn twice.
        const plan = byHand.plan();
        byHand.take([...plan.slice(1), plan[0]].map((route) => ({ ...route, stops: [...route.stops].reverse() })));
        await byHand.drawn();
        if (parts.some((part, i) => part.innerHTML === before[i] && part.id !== 'part-supplies')) return ['nothing changed'];
        byHand.take(plan);
        await byHand.drawn();
        return parts.filter((part, i) => part.innerHTML !== before[i]).map((part) => part.id);
      });
      assert.deepStrictEqual(differing, []);
    });
});

test('a stop is dragged to another place: order, pictures and money follow', async (context) => {
  await withModel(context, 'demo', 'desktop', {}, async (page) => {
    const before = await names(page);
    const cost = await total(page);
    await page.locator('#by-hand').scrollIntoViewIfNeeded();
    const grip = await page.locator('#hand-lists li').nth(2).locator('.grip').boundingBox();
    const goal = await page.locator('#hand-lists li').nth(5).boundingBox();
    await page.mouse.move(grip.x + grip.width / 2, grip.y + grip.height / 2);
    await page.mouse.down();
    for (let step = 1; step <= 12; step++)
      await page.mouse.move(grip.x + 10, grip.y + 10 + ((goal.y + goal.height / 2 - grip.y - 10) * step) / 12);
    await page.mouse.up();
    const expected = [...before];
    expected.splice(5, 0, ...expected.splice(2, 1));
    assert.deepStrictEqual(await names(page), expected);
    await page.evaluate(() => byHand.drawn());
    assert.ok(await total(page) > cost, 'the plan was proven cheapest');
    assert.match(await page.locator('#hand-result').innerText(), /more than the plan/);
    assert.deepStrictEqual(await page.locator('article[data-gets] h4').allInnerTexts(), expected);
    assert.strictEqual(await page.locator('.ribbon a[href="#s1-6"] .tag').textContent(), expected[5]);
    await page.locator('#hand-back').click();
    assert.deepStrictEqual(await names(page), before);
    assert.strictEqual(await total(page), cost);
  });
});

for (const size of ['desktop', 'phone'])
  test(`while a stop is dragged ribbon and price follow, and the list stays under the finger: ${size}`, async (context) => {
    await withModel(context, 'demo', size, {}, async (page) => {
      const before = await names(page);
      const verdict = await page.locator('#hand-result .verdict').innerText();
      // The end of the ribbon stays in view above the list.
      await page.evaluate(() => scrollBy(0, document.querySelector('#hand-lists').getBoundingClientRect().top - 260));
      const row = (i) => page.locator('#hand-lists li').nth(i).boundingBox();
      const [from, to] = [await row(1), await row(3)];
      const ribbon = () => page.evaluate(() => [...document.querySelectorAll('.ribbon .tag')].map((tag) => tag.textContent));
      assert.deepStrictEqual(await ribbon(), before);
      await page.mouse.move(from.x + 18, from.y + from.height / 2);
      await page.mouse.down();
      for (let step = 1; step <= 10; step++) {
        await page.mouse.move(from.x + 18, from.y + from.height / 2 + ((to.y + to.height / 2 - from.y - from.height / 2) * step) / 10);
        await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
        const held = await page.evaluate(() => { const { top, bottom } = document.querySelector('.held').getBoundingClientRect(); return [top, bottom]; });
        const pointer = from.y + from.height / 2 + ((to.y + to.height / 2 - from.y - from.height / 2) * step) / 10;
        // Within its own row, or not yet past the middle of the next one.
        assert.ok(pointer > held[0] - from.height && pointer < held[1] + from.height, `${pointer} beside ${held}`);
      }
      const expected = [...before];
      expected.splice(3, 0, ...expected.splice(1, 1));
      assert.deepStrictEqual(await names(page), expected);
      assert.deepStrictEqual(await ribbon(), expected, 'before it is let go');
      assert.notStrictEqual(await page.locator('#hand-result .verdict').innerText(), verdict);
      const held = await page.locator('.held').boundingBox();
      assert.ok(Math.abs(held.y - to.y) < 2, `the list moved from ${to.y} to ${held.y}`);
      await page.mouse.up();
      assert.strictEqual(await page.locator('.held').count(), 0);
      await page.evaluate(() => byHand.drawn());
    });
  });

test('what a move comes to stays in sight, and the rules it breaks do not move the list', async (context) => {
  await withModel(context, 'rules', 'phone', {}, async (page) => {
    await page.evaluate(() => document.querySelector('#hand-lists').scrollIntoView());
    const seen = () => page.evaluate(() => {
      const bar = document.querySelector('#hand-bar').getBoundingClientRect();
      return { inside: bar.top > 0 && bar.bottom <= innerHeight, list: document.querySelector('#hand-lists').getBoundingClientRect().top };
    });
    const before = await seen();
    assert.ok(before.inside);
    // Backwards: most rules are broken.
    await page.evaluate(async () => {
      byHand.take(byHand.plan().map((route) => ({ ...route, stops: [...route.stops].reverse() })));
      await byHand.drawn();
    });
    assert.ok(await page.locator('#hand-result li').count() > 2);
    const after = await seen();
    assert.ok(after.inside);
    assert.ok(Math.abs(after.list - before.list) < 2, `${before.list} to ${after.list}`);
  });
});

test('cleanouts change by keyboard, on a phone, and broken rules are named', async (context) => {
  await withModel(context, 'demo', 'phone', {}, async (page) => {
    const select = page.locator('#hand-lists li:has-text("Chapel") select');
    assert.strictEqual(await select.inputValue(), '1');
    await select.focus();
    await page.keyboard.press('ArrowUp');
    await page.waitForFunction(() => document.querySelector('#hand-result .broken'));
    assert.match(await page.locator('#hand-result').innerText(), /breaks 1 rule[\s\S]*Chapel/);
    assert.ok(await page.evaluate(() => document.activeElement.matches('#hand-lists select')), 'the focus stays');
    await page.keyboard.press('ArrowDown');
    await page.waitForFunction(() => document.querySelector('#hand-result .kept'));
  });
});

test("what each grower loses follows, and so does what is left of the rule's cap", async (context) => {
  await withModel(context, 'rules', 'desktop', {}, async (page) => {
    const read = () => page.evaluate(() => {
      const rows = [...document.querySelectorAll('.losses tbody tr')].map((row) => [...row.children].map((cell) => cell.textContent));
      const money = (text) => Number(text.replace(/[^0-9.]/g, ''));
      return { spread: money(document.querySelectorAll('.facts b')[2].textContent), losses: rows.map((row) => money(row[1])), rooms: rows.map((row) => row[3]) };
    });
    const check = ({ spread, losses, rooms }) => {
      const sum = losses.reduce((a, b) => a + b, 0);
      assert.ok(Math.abs(sum - spread) <= losses.length, `${sum} of ${spread}`);
      losses.forEach((loss, i) => assert.match(rooms[i], loss > 20000 ? /too much$/ : /left$/));
    };
    const before = await read();
    assert.strictEqual(before.losses.length, 4);
    check(before);
    // Cleaned thoroughly before every stop.
    await page.evaluate(async () => {
      byHand.take(byHand.plan().map((route) => ({ ...route, stops: route.stops.map(([field]) => [field, 3]) })));
      await byHand.drawn();
    });
    const after = await read();
    check(after);
    assert.ok(after.spread < before.spread / 2);
    assert.ok(before.rooms.some((room) => room.endsWith('much')) && after.rooms.some((room) => room.endsWith('left')));
  });
});

test('supplies add up anew when cleanouts change', async (context) => {
  await withModel(context, 'demo', 'desktop', {}, async (page) => {
    const supplies = () => page.locator('#part-supplies .ticks li').allInnerTexts();
    assert.deepStrictEqual((await supplies()).slice(0, 2), ['6 bales of straw', '22 kg of wood pellets']);
    // A deep clean, three bales, before every stop and at the end.
    const stops = await page.evaluate(async () => {
      byHand.take(byHand.plan().map((route) => ({ ...route, final: 3, stops: route.stops.map(([field]) => [field, 3]) })));
      await byHand.drawn();
      return byHand.plan()[0].stops.length;
    });
    assert.strictEqual((await supplies())[0], `${3 * (stops + 1)} bales of straw`);
  });
});

test('the arrows move a stop, and to another machine', async (context) => {
  await withModel(context, 'two', 'desktop', {}, async (page) => {
    const before = await names(page);
    await page.locator('#hand-lists li').first().getByRole('button', { name: /later/ }).press('Enter');
    const after = await names(page);
    assert.deepStrictEqual(after.slice(0, 2), [before[1], before[0]]);
    await page.locator('#hand-lists li').first().locator('select').nth(1).selectOption('1');
    assert.strictEqual(await page.locator('#hand-lists ol').nth(1).locator('bdi').first().innerText(), before[1]);
    await page.evaluate(() => byHand.drawn());
    assert.strictEqual(await page.locator('#s2-1 h4').innerText(), before[1]);
  });
});

test('plan.json saved by the page is read by trace and costs the same', async (context) => {
  await withModel(context, 'two', 'desktop', {}, async (page) => {
    await page.locator('#hand-lists li').nth(3).locator('select').first().selectOption('2');
    const shown = await page.evaluate(() => byHand.evaluate(byHand.plan()));
    const [download] = await Promise.all([page.waitForEvent('download'), page.locator('#hand-save').click()]);
    assert.strictEqual(download.suggestedFilename(), 'plan.json');
    const file = path.join(WORK, 'saved.json');
    await download.saveAs(file);
    assert.strictEqual(JSON.parse(fs.readFileSync(file)).format, 'seedbreak-plan');
    const traced = JSON.parse(execFileSync(SEEDBREAK, ['trace', ...season('two').inputs, '--plan', file, '--json', '--quiet']));
    assert.ok(Math.abs(traced.cost.total - shown.total) <= 1e-9 * shown.total);
  });
});

test('plan.json saved during the season says what was spent before, and resume counts from there', async (context) => {
  await withModel(context, 'rest', 'phone', {}, async (page) => {
    const { inputs, log, plan } = season('rest');
    const save = async (leaf) => {
      const [download] = await Promise.all([page.waitForEvent('download'), page.locator('#hand-save').click()]);
      await download.saveAs(path.join(WORK, leaf));
      return path.join(WORK, leaf);
    };
    const written = JSON.parse(fs.readFileSync(plan));
    const saved = JSON.parse(fs.readFileSync(await save('as_written.json')));
    assert.deepStrictEqual(saved.so_far, written.so_far);
    assert.ok(saved.so_far.spent > 0 && saved.so_far.entries === 2);
    for (const part of ['total', 'travel', 'cleanout', 'spread', 'delay'])
      assert.ok(Math.abs(saved.cost[part] - written.cost[part]) <= 1e-9 * written.cost.total, part);
    await page.locator('#hand-lists li').nth(3).locator('select').first().selectOption('2');
    const shown = await page.evaluate(() => byHand.evaluate(byHand.plan()));
    const file = await save('tried.json');
    const resumed = JSON.parse(execFileSync(SEEDBREAK, ['resume', ...inputs, '--log', log, '--time-limit', '5', '--plan', file, '--json', '--quiet']));
    assert.strictEqual(resumed.against.entries, 2);
    assert.ok(Math.abs(resumed.against.planned - written.so_far.spent - written.so_far.standing - shown.total) <= 1e-6 * shown.total);
    assert.ok(resumed.against.made_of.length > 0);
  });
});

test('without WebAssembly everything else is there', async () => {
  await withPage('demo', 'desktop', { before: (page) => page.addInitScript(() => { delete globalThis.WebAssembly; }) }, async (page) => {
    assert.strictEqual(await page.evaluate(() => byHand.ready), false);
    assert.ok(await page.locator('#by-hand').isHidden());
    await page.waitForSelector('#matrix .grid');
    for (const part of ['#ribbon', '#map', '#stops', '#board', '#load', '#matrix']) assert.ok(await page.locator(`${part} svg, ${part} article`).first().isVisible(), part);
    await page.locator('#ribbon a[href="#s1-4"] .disc').hover();
    assert.ok(await page.locator('#tell').isVisible());
  });
});
