// Opens the pages of a folder in headless Chromium: steps, touches, prints, and lets an accessibility engine look.
'use strict';
const assert = require('node:assert');
const fs = require('node:fs');
const os = require('node:os');
const path = require('node:path');
const axe = require('axe-core');
const puppeteer = require('puppeteer-core');

const folder = process.argv[2];
const url = name => 'file://' + path.join(folder, name);
const steps = JSON.parse(fs.readFileSync(path.join(folder, 'steps.json'), 'utf8'));

const onPath = name => process.env.PATH.split(path.delimiter).map(d => path.join(d, name)).find(p => fs.existsSync(p));

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
  await page.evaluate(axe.source);
  const found = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ['violations'] }));
  const serious = found.violations.filter(v => ['serious', 'critical'].includes(v.impact));
  const says = serious.map(v => v.id + ': ' + v.nodes.slice(0, 3).map(n => n.html).join(' ')).join('\n');
  assert.strictEqual(serious.length, 0, name + '\n' + says);
  console.log(name + ': ' + found.violations.length + ' minor findings, none serious');
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

// What the player must see without scrolling, on phones and tablets, upright and lying, over the whole set.
async function inSight(page) {
  for (const [width, height] of [[390, 844], [844, 390], [820, 1180], [1180, 820]]) {
    await page.setViewport({ width, height, hasTouch: true, isMobile: true });
    await page.keyboard.press('Home');
    for (const [n] of steps.entries()) {
      const hidden = await page.evaluate(() => {
        const box = id => document.getElementById(id).getBoundingClientRect();
        const foot = document.querySelector('.bar').getBoundingClientRect();
        const above = ['song', 'slot', 'part', 'held', 'before'].filter(id => box(id).height > 0);
        const bad = above.filter(id => box(id).top < 0 || box(id).bottom > foot.top + 1);
        const slot = document.getElementById('slot');
        if (box('slot').height > 1.5 * Number.parseFloat(getComputedStyle(slot).fontSize)) bad.push('slot in two lines');
        if (box('next').bottom > innerHeight || foot.bottom > innerHeight + 1) bad.push('next');
        if (document.documentElement.scrollWidth > document.documentElement.clientWidth) bad.push('width');
        return bad;
      });
      assert.deepStrictEqual(hidden, [], width + ' by ' + height + ', step ' + n);
      if (n + 1 < steps.length) await page.keyboard.press('PageDown');
    }
  }
}

const shown = page => page.evaluate(() =>
  document.getElementById('song').textContent + '|' + document.getElementById('slot').textContent);

async function swipe(page, from, to) {
  const client = await page.createCDPSession();
  const at = x => [{ x, y: 300 }];
  await client.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: at(from) });
  await client.send('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: at(to) });
  await client.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
  await client.detach();
}

async function stage(browser) {
  const { page, wrong } = await open(browser, 'stage.html');
  await page.setViewport({ width: 420, height: 800, hasTouch: true, isMobile: true });
  await page.reload();
  // By keys, there and back, through the whole set.
  const onward = ['ArrowRight', 'Space', 'PageDown', 'ArrowDown'];
  for (const [n, wanted] of steps.entries()) {
    assert.strictEqual(await shown(page), wanted, 'step ' + n);
    if (n + 1 < steps.length) await page.keyboard.press(onward[n % onward.length]);
  }
  await page.keyboard.press('PageDown');
  assert.strictEqual(await shown(page), steps.at(-1));
  const back = ['ArrowLeft', 'PageUp', 'ArrowUp'];
  for (let n = steps.length - 1; n > 0; n--) {
    assert.strictEqual(await shown(page), steps[n]);
    await page.keyboard.press(back[n % back.length]);
  }
  assert.strictEqual(await shown(page), steps[0]);
  // By touch, through the whole set.
  for (const [n, wanted] of steps.entries()) {
    assert.strictEqual(await shown(page), wanted, 'swipe ' + n);
    if (n + 1 < steps.length) await swipe(page, 350, 60);
  }
  await swipe(page, 60, 350);
  assert.strictEqual(await shown(page), steps.at(-2));
  // By the buttons, the list, and by the keyboard alone.
  await page.click('#back');
  assert.strictEqual(await shown(page), steps.at(-3));
  await page.focus('#on');
  await page.keyboard.press('Enter');
  assert.strictEqual(await shown(page), steps.at(-2));
  await page.keyboard.press('Space');
  assert.strictEqual(await shown(page), steps.at(-1));
  await page.focus('#back');
  await page.keyboard.press('PageUp');
  assert.strictEqual(await shown(page), steps.at(-2));
  // A reload keeps the place.
  await page.reload();
  assert.strictEqual(await shown(page), steps.at(-2));
  for (const theme of ['dark', 'light']) {
    await page.emulateMediaFeatures([{ name: 'prefers-color-scheme', value: theme }]);
    await page.reload();
    await look(page, 'stage.html, ' + theme);
  }
  // The choice of light or dark is kept against what the system prefers.
  const bright = () => page.evaluate(() => getComputedStyle(document.body).backgroundColor);
  assert.strictEqual(await bright(), 'rgb(255, 255, 255)');
  await page.click('#light');
  assert.strictEqual(await bright(), 'rgb(0, 0, 0)');
  await page.reload();
  assert.strictEqual(await bright(), 'rgb(0, 0, 0)');
  await page.click('summary');
  await look(page, 'stage.html, list open');
  await page.click('.night:not([hidden]) [data-step="0"]');
  assert.strictEqual(await shown(page), steps[0]);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  assert.ok(wide <= 0, 'the page is wider than the screen by ' + wide);
  const letters = await page.evaluate(() => Number.parseFloat(getComputedStyle(document.getElementById('slot')).fontSize));
  assert.ok(letters > 120, 'the slot is only ' + letters + ' px');
  await inSight(page);
  // What comes next is told: the next part, and the next song before it is there.
  await page.keyboard.press('Home');
  const songs = [...new Set(steps.map(s => s.split('|')).filter(([, slot]) => slot).map(([song]) => song))];
  assert.strictEqual(await page.evaluate(() => document.getElementById('after').textContent), 'next song: ' + songs[1]);
  await prints(page);
  assert.deepStrictEqual(wrong, []);
  await page.close();
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

(async () => {
  const home = fs.mkdtempSync(path.join(os.tmpdir(), 'browser-'));
  const browser = await puppeteer.launch({
    executablePath: onPath('chromium'),
    headless: true,
    userDataDir: home,
    args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
      '--disable-component-update', '--disable-sync'],
  });
  try {
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
    await stage(browser);
    console.log('all held');
  } finally {
    await browser.close();
    fs.rmSync(home, { recursive: true, force: true });
  }
})().catch(error => { console.error(error); process.exit(1); });
