// SPDX-License-Identifier: GPL-3.0-or-later
// A browser for one test file, and pages in it that own up to everything that goes wrong in them.
'use strict';

const assert = require('node:assert');
const { after, before } = require('node:test');
const { chromium } = require('playwright-core');
const { season } = require('./made.js');

const SIZES = { phone: { width: 360, height: 740 }, desktop: { width: 1280, height: 900 } };

let browser;

function useBrowser() {
  before(async () => {
    // Debian's chromium needs its sandbox switched off as root, as tests in containers run.
    browser = await chromium.launch({ executablePath: process.env.CHROMIUM, args: ['--no-sandbox', '--disable-gpu'] });
  });
  after(() => browser.close());
}

// Opens a season's page, hands it to the test, and wants nothing on the console, no error and no
// request but for the file itself.
async function withPage(name, size, { before: prepare, ...options }, check) {
  const context = await browser.newContext({ viewport: SIZES[size], ...options });
  const complaints = [];
  const page = await context.newPage();
  page.on('console', (message) => complaints.push(`console: ${message.text()}`));
  page.on('pageerror', (error) => complaints.push(`error: ${error.message}`));
  page.on('dialog', (dialog) => { complaints.push('a dialog'); dialog.dismiss(); });
  const address = `file://${season(name).html}`;
  page.on('request', (request) => {
    const url = request.url().split('#')[0];
    if (url !== address && !url.startsWith('blob:')) complaints.push(`request: ${url}`);
  });
  try {
    if (prepare) await prepare(page);
    await page.goto(address);
    if (options.javaScriptEnabled !== false) await page.evaluate(() => Promise.all([seasonPage.ready, byHand.ready]));
    await check(page);
    assert.deepStrictEqual(complaints, []);
  } finally {
    await context.close();
  }
}

// Pairs of labels in one picture that lie on each other, and labels that leave their picture. A
// letter's box is higher than what is printed of it, so a little of it may touch.
function badLabels(selector) {
  const bad = [];
  for (const picture of document.querySelectorAll(selector)) {
    const frame = picture.getBoundingClientRect();
    if (frame.width === 0) continue;
    const scale = frame.width / picture.viewBox.baseVal.width || 1;
    const labels = [...picture.querySelectorAll('text')].filter((label) => label.textContent.trim() !== '');
    const boxes = labels.map((label) => {
      const box = label.getBoundingClientRect();
      const spare = 2.2 * scale;
      return { label, turned: getComputedStyle(label).transform !== 'none', left: box.left, right: box.right, top: box.top + spare, bottom: box.bottom - spare };
    });
    for (const [i, a] of boxes.entries()) {
      if (a.left < frame.left - 1 || a.right > frame.right + 1 || a.top < frame.top - 1 || a.bottom > frame.bottom + 1)
        bad.push(`${a.label.textContent} leaves the picture`);
      for (const b of boxes.slice(0, i))
        if (!a.turned && !b.turned && a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom && b.top < a.bottom)
          bad.push(`${a.label.textContent} on ${b.label.textContent}`);
    }
  }
  return bad;
}

module.exports = { SIZES, badLabels, useBrowser, withPage };
