// Opens the pages of a folder in headless Chromium: steps, touches, prints, and lets an accessibility engine look.
'use strict';
const assert = require('node:assert');
const fs = require('node:fs');
const path = require('node:path');
const { findings, run } = require('./chrome.cjs');

const folder = process.argv[2];
const url = name => 'file://' + path.join(folder, name);

async function open(browser, name) {
  const page = await browser.newPage();
  const wrong = [];
  page.on('console', m => { if (m.type() === 'error') wrong.push(m.text()); });
  page.on('pageerror', e => wrong.push(String(e)));
  page.on('dialog', d => { wrong.push('a dialog: ' + d.message()); d.dismiss(); });
  page.on('request', r => {
    if (r.url() !== url(name) && !r.url().startsWith('data:')) wrong.push('a request: ' + r.url());
  });
  await page.goto(url(name));
  return { page, wrong };
}

async function look(page, name) {
  const found = await findings(page);
  const serious = found.filter(v => ['serious', 'critical'].includes(v.impact));
  assert.strictEqual(serious.length, 0, name + '\n' + serious.map(v => v.says).join('\n'));
  console.log(name + ': ' + found.length + ' minor findings, none serious');
}

async function sheet(browser, name, texts) {
  const { page, wrong } = await open(browser, name);
  const text = await page.evaluate(() => document.body.innerText);
  for (const wanted of texts) assert.ok(text.includes(wanted), name + ' lacks ' + wanted);
  assert.strictEqual(await page.evaluate(() => document.querySelectorAll('script').length), 0);
  for (const theme of ['light', 'dark']) {
    await page.emulateMediaFeatures([{ name: 'prefers-color-scheme', value: theme }]);
    await page.reload();
    await look(page, name + ', ' + theme);
  }
  await prints(page);
  // On paper nothing is cut at the right: A4 less its margins, at 96 dots an inch.
  await page.emulateMediaType('print');
  await page.setViewport({ width: 718, height: 1046 });
  const wide = await page.evaluate(() => document.documentElement.scrollWidth);
  assert.ok(wide <= 718, name + ' is ' + wide + ' wide on paper');
  assert.deepStrictEqual(wrong, []);
  await page.close();
}

async function prints(page) {
  const printed = await page.pdf({ preferCSSPageSize: true });
  assert.ok(printed.length > 5000 && Buffer.from(printed).subarray(0, 5).toString() === '%PDF-');
}

// Names that would end an element or an attribute stand as text, everywhere.
async function quoted(browser) {
  const name = JSON.parse(fs.readFileSync(path.join(folder, 'quoted.json'), 'utf8'));
  for (const file of ['quoted.html', 'quoted-stage.html']) {
    const { page, wrong } = await open(browser, file);
    const found = await page.evaluate(() => [
      document.title, document.querySelectorAll('img').length, document.querySelector('h1').textContent,
    ]);
    assert.ok(found[0].startsWith(name) && found[1] === 0 && found[2] === name, file + ': ' + found);
    assert.deepStrictEqual(wrong, []);
    await page.close();
  }
}

run(async browser => {
  const names = ["<script>alert('&')</script>", '<i>&amp; look up', 'δοκιμή', '<change>'];
  await sheet(browser, 'reading.html', names);
  await sheet(browser, 'player.html', names.slice(0, 2));
  await sheet(browser, 'tech.html', ['truth tables', 'summit']);
  await sheet(browser, 'winter.html', ['Ferry Without Bells']);
  const { page, wrong } = await open(browser, 'nasty-stage.html');
  const text = await page.evaluate(() => document.body.innerText);
  assert.ok(text.includes("<script>alert('&')</script>"), text);
  await look(page, 'nasty-stage.html');
  assert.deepStrictEqual(wrong, []);
  await quoted(browser);
});
