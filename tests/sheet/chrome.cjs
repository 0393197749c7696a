// Headless Chromium for the scripts beside this one, started and ended in one place.
'use strict';
const assert = require('node:assert');
const fs = require('node:fs');
const os = require('node:os');
const path = require('node:path');
const axe = require('axe-core');
const puppeteer = require('puppeteer-core');

const onPath = name => process.env.PATH.split(path.delimiter).map(d => path.join(d, name)).find(p => fs.existsSync(p));

// Runs tests with a browser of their own, says `all held`, and leaves nothing behind.
function run(tests) {
  const inside = async () => {
    const home = fs.mkdtempSync(path.join(os.tmpdir(), 'browser-'));
    const browser = await puppeteer.launch({
      executablePath: onPath('chromium'),
      headless: true,
      userDataDir: home,
      args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
        '--disable-component-update', '--disable-sync'],
    });
    try {
      await tests(browser);
      console.log('all held');
    } finally {
      await browser.close();
      fs.rmSync(home, { recursive: true, force: true });
    }
  };
  inside().catch(error => { console.error(error); process.exit(1); });
}

// A page on a device of its own: nothing is kept from another. What goes wrong on it is collected.
async function device(browser, file, width = 390, height = 844) {
  const context = await browser.createBrowserContext();
  const page = await context.newPage();
  page.wrong = [];
  page.on('console', m => { if (m.type() === 'error') page.wrong.push(m.text()); });
  page.on('pageerror', e => page.wrong.push(String(e)));
  page.on('dialog', d => { page.wrong.push('a dialog: ' + d.message()); d.dismiss(); });
  page.on('request', r => { if (!/^(file|data|blob):/.test(r.url())) page.wrong.push('a request: ' + r.url()); });
  await page.setViewport({ width, height, hasTouch: true, isMobile: true });
  await page.goto('file://' + file);
  page.done = async () => { assert.deepStrictEqual(page.wrong, []); await context.close(); };
  return page;
}

// What an accessibility engine finds on a page.
async function findings(page) {
  await page.evaluate(axe.source);
  const found = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ['violations'] }));
  return found.violations.map(v => ({ impact: v.impact, says: v.id + ': ' + v.nodes.slice(0, 3).map(n => n.html).join(' ') }));
}

module.exports = { run, device, findings };
