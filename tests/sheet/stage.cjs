// Plays the stage page in headless Chromium.
'use strict';
const assert = require('node:assert');
const fs = require('node:fs');
const path = require('node:path');
const { device, findings, run: drive } = require('./chrome.cjs');

const folder = process.argv[2];
const file = name => path.join(folder, name);
const known = JSON.parse(fs.readFileSync(file('known.json'), 'utf8'));
const made = { orders: [], notes: '' };
let browser;
let looked = 0;

const open = (name, width, height) => device(browser, file(name), width, height);

async function look(page, name) {
  const found = await findings(page);
  assert.strictEqual(found.length, 0, name + '\n' + found.map(v => v.says).join('\n'));
  looked += 1;
}

// Song or pause, slot, part, what comes before it.
const shown = page => page.evaluate(() => {
  const text = id => document.getElementById(id).textContent;
  const before = document.querySelector('#acts .before');
  return [text('song'), text('slot'), text('part'), before ? before.textContent.replace('before: ', '') : ''];
});
const is = async (page, wanted, why) => assert.deepStrictEqual(await shown(page), wanted, why);
const text = (page, id) => page.evaluate(id => document.getElementById(id).textContent, id);
const tap = (page, selector) => page.tap(selector);
const step = async (page, song, part) => {
  const n = known.hall.findIndex(s => s[0] === song && (part === undefined || s[2] === part));
  await page.keyboard.press('Home');
  for (let k = 0; k < n; k++) await page.keyboard.press('PageDown');
  await is(page, known.hall[n]);
  return n;
};

async function swipe(page, from, to) {
  const client = await page.createCDPSession();
  const at = x => [{ x, y: 200 }];
  await client.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: at(from) });
  for (let k = 1; k <= 8; k++) await client.send('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: at(from + (to - from) * k / 8) });
  await client.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
  await client.detach();
}

const ONWARD = ['ArrowRight', 'Space', 'PageDown', 'ArrowDown', 'Enter'];
const BACK = ['ArrowLeft', 'PageUp', 'ArrowUp', 'Backspace'];

async function keysAndTouch() {
  const page = await open('stage.html');
  const { hall } = known;
  for (const [n, wanted] of hall.entries()) {
    await is(page, wanted, 'step ' + n);
    if (n + 1 < hall.length) await page.keyboard.press(ONWARD[n % ONWARD.length]);
  }
  await page.keyboard.press('PageDown');
  await is(page, hall.at(-1), 'nothing behind the end');
  for (let n = hall.length - 1; n > 0; n--) {
    await is(page, hall[n]);
    await page.keyboard.press(BACK[n % BACK.length]);
  }
  for (const [n, wanted] of hall.entries()) {
    await is(page, wanted, 'swipe ' + n);
    if (n + 1 < hall.length) await swipe(page, 350, 60);
  }
  await swipe(page, 60, 350);
  await is(page, hall.at(-2));
  // Without a screen the browser holds touches back that follow a swipe.
  await page.click('#back');
  await is(page, hall.at(-3));
  await page.click('#on');
  await is(page, hall.at(-2));
  // Parts are touched: a chorus comes again.
  const n = await step(page, 'Peat Clock', 'outro');
  await tap(page, '#parts li:nth-child(3) button');
  await is(page, hall[n - 1]);
  await tap(page, '#parts li:nth-child(1) button');
  await is(page, hall[n - 3]);
  // What the next song asks for is told at the end of the one before.
  const last = await step(page, 'Gull Parliament', 'solo');
  assert.strictEqual(await text(page, 'change'), 'take arch');
  assert.strictEqual(await text(page, 'after'), 'next song: Peat Clock');
  await page.keyboard.press('ArrowLeft');
  assert.strictEqual(await text(page, 'change'), '');
  assert.strictEqual(await text(page, 'next'), 'then ' + hall[last][1] + ' ' + hall[last][2]);
  // A key that is held counts once.
  await page.keyboard.press('Home');
  for (let k = 0; k < 6; k++) await page.keyboard.down('PageDown');
  await page.keyboard.up('PageDown');
  await is(page, hall[1], 'held');
  await page.keyboard.press('End');
  await is(page, hall.at(-1));
  await page.done();
}

// No control that has the focus catches what a pedal sends; who tabs can work each of them.
async function focus() {
  const page = await open('all.html');
  const sets = known.all.map(([title]) => title);
  const [, steps] = known.all[0];
  let caught = 0;
  for (const control of ['#on', '#back', '.answer', '[data-open="order"]', '[data-open="look"]', '[data-open="notes"]', '#parts button']) {
    for (const key of ['Space', 'Enter', 'ArrowDown', 'PageDown', 'ArrowRight']) {
      await page.keyboard.press('Home');
      await page.focus(control);
      await page.keyboard.press(key);
      await is(page, steps[1], key + ' at ' + control);
      caught += 1;
    }
    await page.focus(control);
    await page.keyboard.press('ArrowUp');
    await is(page, steps[0], control);
  }
  assert.strictEqual(await page.evaluate(() => document.querySelectorAll('dialog[open]').length), 0);
  assert.strictEqual(await text(page, 'many'), '');
  // A set is chosen, then the pedal is pressed: it turns the page, and the set stays.
  await tap(page, '[data-open="order"]');
  await page.select('#night', '1');
  await page.focus('#night');
  for (const [n, key] of ['ArrowDown', 'Space', 'Enter', 'PageDown'].entries()) {
    await page.keyboard.press(key);
    await is(page, known.all[1][1][n + 1], key);
  }
  await tap(page, '[data-open="order"]');
  assert.strictEqual(await page.evaluate(() => document.getElementById('night').selectedOptions[0].textContent), sets[1]);
  await page.keyboard.press('PageDown');
  await is(page, known.all[1][1][5], 'a page turns under an open panel, which closes');
  assert.strictEqual(await page.evaluate(() => document.querySelectorAll('dialog[open]').length), 0);
  // By the keyboard alone.
  await page.evaluate(() => document.activeElement.blur());
  const at = () => page.evaluate(() => document.activeElement.dataset.open || document.activeElement.id);
  for (let k = 0; k < 40 && await at() !== 'look'; k++) await page.keyboard.press('Tab');
  await page.keyboard.press('Enter');
  assert.strictEqual(await page.evaluate(() => document.getElementById('look').open), true);
  for (let k = 0; k < 9 && await at() !== 'light'; k++) await page.keyboard.press('Tab');
  await page.keyboard.press('Space');
  assert.strictEqual(await page.evaluate(() => document.documentElement.classList.contains('light')), true);
  await page.done();
  return caught;
}

// A reload keeps the place, and so does a new version of the book: by set, song and part.
async function places() {
  const page = await open('live.html');
  await tap(page, '[data-open="order"]');
  await page.select('#night', String(known.all.findIndex(([title]) => title === 'hall night')));
  const there = known.hall.findIndex(s => s[0] === 'Peat Clock' && s[2] === 'chorus');
  for (let k = 0; k < there; k++) await page.keyboard.press('PageDown');
  await is(page, known.hall[there]);
  await page.reload();
  await is(page, known.hall[there], 'reload');
  const now = fs.readFileSync(file('live.html'));
  fs.copyFileSync(file('next.html'), file('live.html'));
  await page.reload();
  const moved = known.next.findIndex(s => s[0] === 'Peat Clock' && s[2] === 'chorus');
  assert.ok(moved !== there, 'the new version has it elsewhere');
  await is(page, known.next[moved], 'the same song and part in a new version');
  assert.match(await page.evaluate(() => document.getElementById('show').textContent), /winter-4/);
  // The song is gone: the set begins at its start.
  fs.writeFileSync(file('live.html'), now);
  await page.reload();
  await page.keyboard.press('Home');
  while ((await shown(page))[0] !== 'Low Barn Radio') await page.keyboard.press('PageDown');
  fs.copyFileSync(file('next.html'), file('live.html'));
  await page.reload();
  await is(page, known.next[0], 'a song that is gone');
  await page.done();
}

// The way of the slots, the guitars and the numbers of every set of both examples.
async function everySet() {
  let count = 0;
  for (const [name, sets] of [['all.html', known.all], ['spring.html', known.spring], ['hands.html', known.hands]]) {
    const page = await open(name);
    for (const [n, [, steps]] of sets.entries()) {
      await page.evaluate(n => { const night = document.getElementById('night'); night.value = n; night.dispatchEvent(new Event('change')); }, n);
      for (const wanted of steps) {
        await is(page, wanted);
        await page.keyboard.press('PageDown');
        count += 1;
      }
    }
    await page.done();
  }
  return count;
}

function random(seed) {
  let state = seed >>> 0;
  return below => { state = (Math.imul(state, 1664525) + 1013904223) >>> 0; return Math.floor(state / 4294967296 * below); };
}

// A unit that knows what stands behind each switch, and a player who presses what the page says, wherever the page was turned.
// In a break, between songs or in a pause, the player may have pressed another slot.
async function walks() {
  const counted = { parts: 0, breaks: 0, elsewhere: 0, stays: 0, called: 0, again: 0, inside: 0, buttons: 0 };
  for (const [n, { file, rows, songs, wakes }] of known.walked.entries()) {
    const below = random(known.seed + n);
    const page = await open(file);
    const slots = Object.keys(rows);
    let unit = wakes ? { slot: wakes, row: 0, down: new Set() } : null;
    const call = (slot, row) => { unit = { slot, row, down: new Set() }; };
    const press = (what, why) => {
      const inside = /^(\d+) (on|off)$/.exec(what);
      const slot = what.replace(' again', '');
      if (inside) {
        assert.notStrictEqual(unit.down.has(inside[1]), inside[2] === 'on', 'it stands so already: ' + why);
        if (inside[2] === 'on') unit.down.add(inside[1]); else unit.down.delete(inside[1]);
        counted.inside += 1;
      } else {
        call(slot, unit && unit.slot === slot && rows[slot][1] ? 1 - unit.row : 0);
        assert.strictEqual(unit.row === 1, what.endsWith(' again'), 'another row: ' + why);
        counted.again += unit.row;
      }
    };
    const now = () => page.evaluate(() => {
      const text = id => document.getElementById(id).textContent;
      const elsewhere = [...document.querySelectorAll('#acts .foot')].map(li => li.textContent).find(says => says.startsWith('from elsewhere '));
      return { count: text('count'), song: text('song'), big: text('slot'), pause: document.getElementById('now').classList.contains('pause'), next: text('next'),
        buttons: [...document.querySelectorAll('#parts button')].map(b => b.textContent),
        at: [...document.querySelectorAll('#parts button')].findIndex(b => b.hasAttribute('aria-current')), elsewhere: elsewhere || '',
        thin: document.getElementById('slot').classList.contains('thin') };
    });
    let before = null;
    let paused = true;
    const trace = [];
    for (let k = 0; k < known.walks; k++) {
      const told = before && before.next;
      // First the page as it opens.
      const how = k === 0 ? 9 : below(9);
      if (how < 4) await page.keyboard.press('PageDown');
      else if (how < 5) await page.keyboard.press('PageUp');
      else if (how < 6 && k % 5 === 0) await page.keyboard.press(['Home', 'End'][below(2)]);
      else if (how < 9) await page.evaluate(n => { const all = document.querySelectorAll('#parts button'); if (all.length) all[n % all.length].click(); }, below(6));
      assert.deepStrictEqual(page.wrong, [], file);
      const s = await now();
      if (s.pause) { before = s; paused = true; continue; }
      if (before && before.count === s.count && before.at === s.at) continue;
      const why = file + ', seed ' + known.seed + ', step ' + k + ': ' + JSON.stringify([before, s, unit && { ...unit, down: [...unit.down] }]) + trace.slice(-4).join('\n');
      assert.ok(songs[s.song] && songs[s.song][s.at], why);
      const [, scene, pressed] = songs[s.song][s.at];
      const stood = unit && unit.slot;
      const rest = paused || !before || before.count !== s.count;
      const target = s.big.split(/[ ,]/)[0];
      let moved = false;
      if (rest) {
        counted.breaks += 1;
        const others = slots.filter(slot => slot !== stood && slot !== (s.elsewhere || s.thin || /^\d+ o/.test(s.big) ? stood : target));
        if (below(2) && others.length && !s.big.endsWith(' called')) {
          call(others[below(others.length)], 0);
          moved = true;
        }
      } else assert.strictEqual(s.elsewhere, '', why);
      // What was told before the page was turned is what then stands there.
      if (how < 4 && before) assert.strictEqual(told.startsWith('then ' + s.big + (s.elsewhere ? ' (' + s.elsewhere + ')' : '') + ' '), true, told + why);
      const says = moved && s.elsewhere ? s.elsewhere.replace('from elsewhere ', '') : s.big;
      if (says.endsWith(' called')) { call(says.replace(' called', ''), 0); counted.called += 1; }
      else if (says.endsWith(' stays')) { counted.stays += 1; assert.strictEqual(says, unit.slot + ' stays', why); }
      // The same sound again, where its switch may be pressed and need not.
      else for (const what of says.split(', ')) press(what, why);
      assert.strictEqual(s.thin, / (called|stays)$/.test(s.big), why);
      if (moved && s.elsewhere) counted.elsewhere += 1;
      assert.deepStrictEqual([rows[unit.slot][unit.row], [...unit.down].sort()], [scene, pressed], why);
      counted.parts += 1;
      // What each part's button tells is right from where the foot stands now.
      for (const [n, button] of s.buttons.entries()) {
        const [label, scene, pressed] = songs[s.song][n];
        assert.ok(button.endsWith(' ' + label), button + why);
        if (n === s.at) continue;
        const stood = unit;
        unit = { ...stood, down: new Set(stood.down) };
        const way = button.slice(0, -label.length - 1);
        if (way.endsWith(' called')) call(way.replace(' called', ''), 0);
        else if (!way.endsWith(' stays')) for (const what of way.split(', ')) press(what, button + why);
        assert.deepStrictEqual([rows[unit.slot][unit.row], [...unit.down].sort()], [scene, pressed], button + why);
        unit = stood;
        counted.buttons += 1;
      }
      trace.push(JSON.stringify(s));
      before = s;
      paused = false;
    }
    await page.done();
  }
  assert.ok(counted.parts > 50 && counted.breaks && counted.again && counted.inside && counted.buttons, JSON.stringify(counted));
  return 'seed ' + known.seed + ', ' + JSON.stringify(counted);
}

// Twenty changes by touch, and back; the order that comes out goes back to the sheet.
async function orders() {
  const below = random(known.seed);
  const page = await open('hands.html');
  for (let round = 0; round < 2; round++) {
    await tap(page, '[data-open="order"]');
    const order = () => page.evaluate(() => document.getElementById('text').value);
    const press = selector => page.evaluate(selector => { document.querySelector(selector).click(); }, selector);
    const first = await order();
    const seen = [first];
    while (seen.length <= 20) {
      const rows = await page.evaluate(() => document.querySelectorAll('#list li').length);
      const songs = await page.evaluate(() => document.querySelectorAll('#all li').length);
      const row = '#list li:nth-child(' + (1 + below(rows)) + ')';
      const what = below(9);
      if (what < 5) await press(row + ' button:nth-child(' + (2 + below(2)) + ')');
      else if (what < 6) await press(row + ' button:nth-child(4)');
      else if (what < 8) await press('#all li:nth-child(' + (1 + below(songs)) + ') button');
      else await press('#encore');
      // A button that is off changes nothing.
      if (await order() !== seen.at(-1)) seen.push(await order());
    }
    assert.match(await text(page, 'count'), /order changed/);
    const kept = await order();
    await page.reload();
    await tap(page, '[data-open="order"]');
    assert.strictEqual(await order(), kept, 'kept over a reload');
    await tap(page, '#order [data-shut]');
    // What the page shows of it, step by step.
    await page.keyboard.press('Home');
    const steps = [];
    for (let more = true; more;) {
      steps.push(await shown(page));
      more = await page.evaluate(() => !document.getElementById('on').disabled);
      if (more) await page.keyboard.press('PageDown');
    }
    made.orders.push({ text: kept, steps });
    // One touch, and the book's order is there again.
    await tap(page, '[data-open="order"]');
    await tap(page, '#book');
    assert.strictEqual(await order(), first);
    // That is undone as well.
    await tap(page, '#undo');
    assert.strictEqual(await order(), kept);
    await tap(page, '#book');
    // Twenty changes and twenty times back: every order on the way.
    await page.reload();
    await tap(page, '[data-open="order"]');
    const way = [await order()];
    while (way.length <= 20) {
      const rows = await page.evaluate(() => document.querySelectorAll('#list li').length);
      await press('#list li:nth-child(' + (2 + below(rows - 1)) + ') button:nth-child(2)');
      way.push(await order());
    }
    for (const before of way.slice(0, -1).reverse()) {
      await press('#undo');
      assert.strictEqual(await order(), before);
    }
    await tap(page, '#order [data-shut]');
    assert.doesNotMatch(await text(page, 'count'), /changed/);
    await page.keyboard.press('Home');
    await is(page, known.hall[0]);
  }
  // By real touch: the second song before the first, and what is played stays.
  await page.keyboard.press('End');
  const stands = await shown(page);
  await tap(page, '[data-open="order"]');
  await tap(page, '#list li:nth-child(2) button:nth-child(2)');
  await tap(page, '#order [data-shut]');
  assert.deepStrictEqual((await shown(page)).slice(0, 3), stands.slice(0, 3));
  await tap(page, '[data-open="order"]');
  await tap(page, '#undo');
  await page.done();
  const lost = await open('lost.html');
  await tap(lost, '[data-open="order"]');
  const rows = await lost.evaluate(() => [...document.querySelectorAll('#all li')].map(li => [li.firstChild.textContent, li.lastChild.disabled]));
  assert.deepStrictEqual(rows, [['Quay', false], ['Reef: `bare`, its out, stands in no slot', true]]);
  await lost.done();
}

// h = 2·D·tan(a/2) (NUREG-0700): 20 minutes of arc at 0.6 m are 3.49 mm, at 1.2 m 6.98 mm.
async function sizes() {
  let smallest = Infinity;
  let blank = 0;
  for (const [width, height, mm, metres] of [[390, 844, 68 / 390, .6], [844, 390, 68 / 390, .6], [820, 1180, 160 / 820, 1.2], [1180, 820, 160 / 820, 1.2]]) {
    const page = await open('stage.html', width, height);
    const wanted = 2 * metres * 1000 * Math.tan(20 / 60 / 2 * Math.PI / 180);
    for (const [n] of known.hall.entries()) {
      const found = await page.evaluate(() => {
        const pen = document.createElement('canvas').getContext('2d');
        const leads = [...document.querySelectorAll('#song, #slot, #part, #next, #after, #change, #acts .foot, #acts .hand, #acts .before, #tempo')].filter(e => e.textContent && e.getClientRects().length);
        const high = leads.map(e => {
          const style = getComputedStyle(e);
          pen.font = style.fontWeight + ' ' + style.fontSize + ' ' + style.fontFamily;
          return [e.id || e.className, pen.measureText('H').actualBoundingBoxAscent];
        });
        const boxes = [...document.querySelectorAll('header *, main *, footer *')].flatMap(e => [...e.childNodes]).filter(c => c.nodeType === 3 && c.textContent.trim())
          .flatMap(c => { const range = document.createRange(); range.selectNode(c); return [...range.getClientRects()]; }).filter(r => r.width > 0)
          // A line's box is higher than its letters.
          .map(r => ({ left: r.left, right: r.right, top: r.top + r.height * .17, bottom: r.bottom - r.height * .17 }));
        // The widest stretch without words, from the top, and from the left.
        const widest = (from, to, most) => {
          let at = 0, gap = 0;
          for (const box of boxes.slice().sort((a, b) => a[from] - b[from])) {
            gap = Math.max(gap, box[from] - at);
            at = Math.max(at, box[to]);
          }
          return Math.max(gap, most - at) / most;
        };
        const bad = [];
        const foot = document.querySelector('footer').getBoundingClientRect();
        for (const e of leads.concat([...document.querySelectorAll('#parts button')])) {
          const box = e.getBoundingClientRect();
          const under = e.closest('footer') ? innerHeight : foot.top;
          if (box.top < -.5 || box.bottom > under + 1 || box.left < -.5 || box.right > innerWidth + .5) bad.push(e.id || e.textContent);
        }
        for (const [a, one] of boxes.entries()) for (const other of boxes.slice(a + 1)) {
          const over = Math.min(one.right, other.right) - Math.max(one.left, other.left) > 1
            && Math.min(one.bottom, other.bottom) - Math.max(one.top, other.top) > 1;
          if (over) bad.push('words cross words: ' + JSON.stringify([one, other]));
        }
        const slot = document.getElementById('slot');
        if (slot.scrollWidth > slot.clientWidth + 1) bad.push('slot is cut');
        if (document.documentElement.scrollWidth > innerWidth || document.documentElement.scrollHeight > innerHeight + 1) bad.push('scrolls');
        return { high, bad, down: widest('top', 'bottom', innerHeight), across: widest('left', 'right', innerWidth) };
      });
      const name = width + ' by ' + height + ', step ' + n;
      assert.deepStrictEqual(found.bad, [], name);
      for (const [id, pixels] of found.high) {
        assert.ok(pixels * mm >= wanted, name + ': ' + id + ' is ' + (pixels * mm).toFixed(2) + ' mm, not ' + wanted.toFixed(2));
        smallest = Math.min(smallest, pixels * mm / wanted);
      }
      assert.ok(found.down < 1 / 3 && found.across < 1 / 3, name + ': ' + JSON.stringify([found.down, found.across]));
      blank = Math.max(blank, found.down, found.across);
      if (n + 1 < known.hall.length) await page.keyboard.press('PageDown');
    }
    await page.done();
  }
  return [smallest, blank];
}

// Small screens and large text: every control can be brought into sight and hit, nothing is wider than the screen.
async function small() {
  for (const [width, height, letters] of [[320, 568, 16], [390, 844, 32], [320, 568, 32], [568, 320, 16]]) {
    const page = await open('stage.html', width, height);
    if (letters !== 16) await page.addStyleTag({ content: 'html { font-size: ' + letters + 'px }' });
    await page.evaluate(() => window.dispatchEvent(new Event('resize')));
    for (let n = 0; n < 30; n++) {
      const bad = await page.evaluate(() => {
        const bad = [];
        if (document.documentElement.scrollWidth > innerWidth) bad.push('wider than the screen');
        for (const e of document.querySelectorAll('header button, main button, footer button, #slot, #part, #next')) {
          if (!e.getClientRects().length || !e.textContent || e.disabled) continue;
          e.scrollIntoView({ block: 'center' });
          const box = e.getBoundingClientRect();
          const hit = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
          if (!hit || !(e.contains(hit) || hit.contains(e)) || box.left < -1 || box.right > innerWidth + 1) bad.push((e.id || e.textContent) + ' is out of reach');
          if (e.matches('button') && (box.height < 40 || box.width < 24)) bad.push(e.textContent + ' is too small to touch');
        }
        scrollTo(0, 0);
        return bad;
      });
      assert.deepStrictEqual(bad, [], width + ' by ' + height + ' in letters of ' + letters + ', step ' + n);
      await page.keyboard.press('PageDown');
    }
    await look(page, width + ' by ' + height);
    await page.done();
  }
}

async function looks() {
  const page = await open('all.html');
  const bright = () => page.evaluate(() => getComputedStyle(document.body).backgroundColor);
  // Dark unless it is asked for, whatever the system likes.
  await page.emulateMediaFeatures([{ name: 'prefers-color-scheme', value: 'light' }]);
  await page.reload();
  assert.strictEqual(await bright(), 'rgb(0, 0, 0)');
  for (const light of [false, true]) {
    if (light) {
      await tap(page, '[data-open="look"]');
      await tap(page, '#light');
      await tap(page, '#look [data-shut]');
      assert.strictEqual(await bright(), 'rgb(255, 255, 255)');
    }
    for (let dim = 0; dim < 4; dim++) {
      await look(page, 'light ' + light + ', dim ' + dim);
      for (const panel of ['order', 'look', 'notes']) {
        if (panel !== 'look' && dim % 3) continue;
        await tap(page, '[data-open="' + panel + '"]');
        await look(page, panel + ', light ' + light + ', dim ' + dim);
        if (panel === 'look' && dim < 3) await tap(page, '#dimmer');
        await tap(page, '#' + panel + ' [data-shut]');
      }
    }
    for (let dim = 0; dim < 3; dim++) {
      await tap(page, '[data-open="look"]');
      await tap(page, '#brighter');
      await tap(page, '#look [data-shut]');
    }
  }
  // What was chosen is kept: light, dimmer, larger.
  await tap(page, '[data-open="look"]');
  await tap(page, '#dimmer');
  await tap(page, '#larger');
  const chosen = () => page.evaluate(() => [document.documentElement.className, document.documentElement.dataset.dim,
    getComputedStyle(document.getElementById('next')).fontSize]);
  const before = await chosen();
  assert.match(await text(page, 'measure'), /0\.6 m .* 68 mm, 0\.174 mm a pixel/);
  await page.reload();
  assert.deepStrictEqual(await chosen(), before);
  // The beat: as long as the tempo says, and still for who asks for it.
  const beat = () => page.evaluate(() => { const style = getComputedStyle(document.getElementById('beat')); return [style.animationName, style.animationDuration]; });
  await page.keyboard.press('Home');
  const bpm = Number.parseFloat(await text(page, 'tempo'));
  const [name, lasts] = await beat();
  assert.ok(name === 'beat' && Math.abs(Number.parseFloat(lasts) - 60 / bpm) < .001, lasts);
  await page.emulateMediaFeatures([{ name: 'prefers-reduced-motion', value: 'reduce' }]);
  assert.strictEqual((await beat())[0], 'none');
  await page.emulateMediaFeatures([]);
  await tap(page, '[data-open="look"]');
  await tap(page, '#motion');
  assert.strictEqual((await beat())[0], 'none');
  await page.done();
  // No more than three flashes a second (WCAG 2.2, 2.3.1): 240 a minute pulse at half.
  const quick = await open('lost.html');
  const fast = await quick.evaluate(() => getComputedStyle(document.getElementById('beat')).animationDuration);
  assert.strictEqual(fast, '0.5s');
  await quick.done();
}

// One touch is a note; words are written; they come out as text.
async function answers() {
  const page = await open('stage.html');
  await step(page, 'Peat Clock', 'intro');
  await tap(page, '.answer:nth-child(1)');
  assert.strictEqual(await text(page, 'said'), 'noted at intro: too loud');
  await page.keyboard.press('PageDown');
  await tap(page, '.answer:nth-child(3)');
  await page.keyboard.press('PageDown');
  await tap(page, '[data-open="notes"]');
  await tap(page, '#words');
  await page.keyboard.type('more of the "room"');
  await page.keyboard.press('Enter');
  await page.reload();
  await tap(page, '[data-open="notes"]');
  const version = JSON.parse(await page.evaluate(() => document.getElementById('show').textContent)).version;
  const notes = await page.evaluate(() => document.getElementById('noted').value);
  const at = part => known.hall.find(s => s[0] === 'Peat Clock' && s[2] === part)[1];
  const line = (part, scene, says) => ['hall night', 'Peat Clock', part, scene, at(part), version, says].map(w => '"' + w + '"').join(' ');
  assert.deepStrictEqual(notes.split('\n'), [line('intro', 'peat-tick', 'too loud'), line('verse', 'warm', 'wrong sound'),
    line('chorus', 'peat-flood', 'more of the ”room”'), '']);
  made.notes = notes.replaceAll('”', '');
  await page.evaluate(() => document.querySelector('#kept li:nth-child(2) button').click());
  assert.strictEqual((await page.evaluate(() => document.getElementById('noted').value)).split('\n').length, 3);
  // Saved as a file, and copied.
  const client = await page.createCDPSession();
  await client.send('Browser.setDownloadBehavior', { behavior: 'allow', downloadPath: folder, browserContextId: page.browserContext().id });
  await tap(page, '#notes [data-give="save"]');
  for (let k = 0; k < 50 && !fs.existsSync(file('notes.txt')); k++) await new Promise(done => setTimeout(done, 100));
  assert.strictEqual(fs.readFileSync(file('notes.txt'), 'utf8'), await page.evaluate(() => document.getElementById('noted').value));
  await tap(page, '#notes [data-give="copy"]');
  await page.waitForFunction(() => document.querySelector('#notes [data-give="copy"]').textContent === 'copied');
  await page.done();
}

drive(async started => {
  browser = started;
  const only = process.env.ONLY;
  const run = async (name, test) => {
    if (only && only !== name) return undefined;
    const began = Date.now();
    const found = await test().catch(error => { if (!process.env.GO_ON) throw error; console.error(name, error); });
    console.log(name + ': ' + ((Date.now() - began) / 1000).toFixed(1) + ' s' + (found === undefined ? '' : ', ' + found));
    return found;
  };
  await run('keys and touch', keysAndTouch);
  await run('focus', focus);
  await run('places', places);
  await run('steps of every set', everySet);
  await run('walks', walks);
  await run('orders, seed ' + known.seed, orders);
  await run('sizes: least share of what is needed, largest blank', sizes);
  await run('small screens, large text', small);
  await run('looks', looks);
  await run('answers', answers);
  fs.writeFileSync(file('made.json'), JSON.stringify(made));
  console.log(looked + ' looks of axe without a finding');
});
