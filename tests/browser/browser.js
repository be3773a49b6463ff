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

module.exports = { SIZES, useBrowser, withPage };
