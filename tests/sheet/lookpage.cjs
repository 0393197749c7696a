// Fills in the page for the unit's side in headless Chromium.
'use strict';
const assert = require('node:assert');
const fs = require('node:fs');
const path = require('node:path');
const { device, findings, run } = require('./chrome.cjs');

const folder = process.argv[2];
const file = name => path.join(folder, name);
const known = JSON.parse(fs.readFileSync(file('known.json'), 'utf8'));
const given = {};
let browser;
let looked = 0;

async function look(page, name) {
  const found = await findings(page);
  assert.strictEqual(found.length, 0, name + '\n' + found.map(v => v.says).join('\n'));
  looked += 1;
}
const text = (page, id) => page.evaluate(id => document.getElementById(id).textContent, id);
const value = (page, id) => page.evaluate(id => document.getElementById(id).value, id);
const touch = (page, cell) => page.tap(`[data-cell="${cell}"] button`);
async function type(page, cell, words) {
  await page.click(`[data-cell="${cell}"] input`, { count: 3 });
  await page.keyboard.type(words);
}
async function into(page, id, words) {
  await page.click('#' + id, { count: 3 });
  await page.keyboard.type(words);
}
const open = (page, name) => page.tap(`[data-open="${name}"]`);
const shut = page => page.tap('dialog[open] [data-shut]');

async function small() {
  const page = await device(browser, file('small.html'));
  // What most songs play comes first.
  assert.strictEqual(await text(page, 'slot'), '1B');
  await look(page, 'small, first');
  await touch(page, 'expression-1');
  await page.tap('#yes');
  assert.ok((await text(page, 'said')).startsWith('type what expression 1'));
  await type(page, 'expression-1', 'step 50');
  await touch(page, 'midi-2:lull.sway');
  await type(page, 'midi-2:lull.sway', '3');
  await look(page, 'small, marked');
  await page.tap('#yes');
  assert.strictEqual(await text(page, 'said'), '1B lift: 2 wrong');
  assert.strictEqual(await text(page, 'slot'), '1A');
  // It is another day, and the page is opened anew.
  await page.reload();
  assert.strictEqual(await text(page, 'slot'), '1A');
  assert.strictEqual(await text(page, 'count'), '1 of 3 seen');
  await touch(page, 'remote-1-ring');
  await touch(page, 'loop-2');
  await touch(page, 'loop-2');
  await touch(page, 'scene');
  await type(page, 'scene', 'versus');
  await page.keyboard.press('Enter');
  assert.strictEqual(await text(page, 'slot'), '2C');
  // By keys alone.
  await page.keyboard.press('y');
  assert.ok((await text(page, 'said')).endsWith('every preset was looked at'));
  await page.keyboard.press('ArrowLeft');
  assert.strictEqual(await text(page, 'slot'), '1A');
  assert.strictEqual(await page.evaluate(() => document.querySelectorAll('#cells [aria-pressed="true"]').length), 2);
  assert.strictEqual(await text(page, 'found'), '2 wrong');
  await open(page, 'record');
  await into(page, 'by', 'Ines, "tech"');
  await into(page, 'date', '2026-11-27');
  assert.ok((await text(page, 'version')).startsWith('one '));
  assert.strictEqual(await text(page, 'sum'), '3 of 3 presets looked at, 4 things wrong');
  await look(page, 'small, record');
  given.small = await value(page, 'text');
  await shut(page);
  await open(page, 'list');
  await look(page, 'small, presets');
  assert.deepStrictEqual(await page.evaluate(() => [...document.querySelectorAll('#all button')].map(b => b.textContent)),
    ['1B lift: 2 wrong', '1A verse: 2 wrong', '2C hush: right']);
  await shut(page);
  // The next version of the book: what was seen holds, but for what must be otherwise now.
  await page.goto('file://' + file('next.html'));
  await open(page, 'list');
  assert.strictEqual((await page.evaluate(() => document.querySelector('#all button').textContent)), '1B lift: 1 wrong');
  await shut(page);
  await open(page, 'record');
  assert.strictEqual(await value(page, 'by'), 'Ines, "tech"');
  await page.tap('#forget');
  assert.strictEqual((await value(page, 'text')).trim().split('\n').length, 4);
  await page.tap('#forget');
  assert.strictEqual((await value(page, 'text')).trim().split('\n').length, 1);
  await shut(page);
  await page.done();
}

// Every preset of a tour, answered by one touch each.
async function winter() {
  const page = await device(browser, file('winter.html'), 320, 568);
  const asked = await page.evaluate(() => JSON.parse(document.getElementById('show').textContent).looks.map(l => [l.slot, l.cells.map(c => c.cell)]));
  assert.deepStrictEqual([...asked].sort(), [...known.winter].filter(([, cells]) => cells.length).sort());
  let touches = 0;
  while (!(await text(page, 'said')).endsWith('every preset was looked at')) {
    await page.tap('#yes');
    touches += 1;
    assert.ok(touches <= asked.length, 'a preset was asked for twice');
  }
  assert.strictEqual(touches, asked.length);
  await open(page, 'record');
  given.winter = await value(page, 'text');
  await page.done();
  return touches + ' presets';
}

// Small and large screens, lying and standing, dark and light, large letters: nothing is cut off, nothing is found.
async function sizes() {
  let widest = 0;
  for (const [width, height] of [[320, 480], [320, 568], [390, 844], [844, 390], [820, 1180]]) {
    for (const name of width === 320 || width === 844 ? ['small.html', 'winter.html'] : ['small.html']) {
      const page = await device(browser, file(name), width, height);
      for (const more of [0, 3]) {
        await open(page, 'look');
        for (let n = 0; n < more; n++) await page.tap('#larger');
        if (more) { await page.tap('#light'); for (let n = 0; n < 3; n++) await page.tap('#dimmer'); }
        await look(page, 'look ' + width);
        await shut(page);
        const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
        widest = Math.max(widest, wide);
        assert.ok(wide <= 0, name + ' at ' + width + ' is ' + wide + ' too wide');
        const least = await page.evaluate(() => Math.min(...[...document.querySelectorAll('main button, nav button')].map(b => b.getBoundingClientRect().height)));
        assert.ok(least >= 44, 'a button of ' + least);
        await look(page, name + ' ' + width + ' ' + more);
        if (process.env.PICTURES) await page.screenshot({ path: path.join(process.env.PICTURES, name + '-' + width + 'x' + height + '-' + more + '.png') });
      }
      await page.done();
    }
  }
}

// Without a script the list is there, with all presets.
async function without() {
  const context = await browser.createBrowserContext();
  const page = await context.newPage();
  await page.setJavaScriptEnabled(false);
  await page.goto('file://' + file('small.html'));
  const shown = await page.evaluate(() => document.querySelector('.paper').innerText).catch(() => null);
  const html = fs.readFileSync(file('small.html'), 'utf8');
  assert.ok(shown === null || shown.includes('1B lift'), shown);
  assert.ok(html.includes('☐ 1B lift'));
  await context.close();
}

run(async started => {
  browser = started;
  for (const test of [small, winter, sizes, without]) {
    const began = Date.now();
    const found = await test();
    console.log(test.name + ': ' + ((Date.now() - began) / 1000).toFixed(1) + ' s' + (found === undefined ? '' : ', ' + found));
  }
  fs.writeFileSync(file('given.json'), JSON.stringify(given));
  console.log(looked + ' looks of axe without a finding');
});
