(() => {
  const show = JSON.parse(document.getElementById('show').textContent);
  const { at, make, root } = screenPage;

  // Kept under the book's title.
  const fresh = { set: '', places: {}, orders: {}, notes: [], look: { light: false, dim: 0, size: 0, still: false } };
  const { kept, keep } = screenPage.keeping('tipring ' + show.book, fresh);

  // ---- The night ----
  const ENCORE = { pause: 'encore', encore: true };
  const numbers = new Map(show.songs.map((song, n) => [song.title, n]));
  const entry = item => typeof item === 'number' ? { song: show.songs[item].title } : item === null ? ENCORE : { pause: item };
  const sets = show.sets.map(set => {
    const book = set.items.map(entry);
    // Tonight's list is known by its songs: another night's changes are not its own.
    return { title: set.title, book, name: set.listed ? set.title + ' ' + JSON.stringify(book) : set.title };
  });
  let now = Math.max(sets.findIndex(set => set.name === kept.set), 0);
  let undo = [];
  let steps = [];
  let step = 0;

  const order = () => {
    const own = kept.orders[sets[now].name];
    return own ? own.filter(e => e.pause !== undefined || numbers.has(e.song)) : sets[now].book;
  };
  const gone = () => (kept.orders[sets[now].name] || []).filter(e => e.song !== undefined && !numbers.has(e.song));

  // The slot of each part, so that the whole night costs least; of ways that cost the same, the one that costs least
  // inside songs, then the one with the lower slots: `fill::places` says the same of a book.
  function path(parts) {
    const costs = (from, to) => {
      if (!from) return 0;
      const banks = Math.abs(from[0] - to[0]);
      const [row = 0, pressed = 0] = to.slice(3);
      const [was = 0, held = 0] = from.slice(3);
      const bits = n => n.toString(2).replaceAll('0', '').length;
      if (banks === 0 && from[1] === to[1]) return row === was ? bits(held ^ pressed) : 1 + bits(pressed);
      return show.presses ? show.presses[0] + show.presses[1] * banks + row + bits(pressed) : banks;
    };
    const less = (a, b) => a[0] - b[0] || a[1] - b[1];
    let before = null;
    const reached = parts.map(({ slots, inside, called }) => {
      const here = slots.map(slot => {
        const ways = (before || [{ slot: show.wakes, cost: [0, 0] }]).map((from, n) => {
          const more = called ? 0 : costs(from.slot, slot);
          return { cost: [from.cost[0] + more, from.cost[1] + (inside ? more : 0)], n };
        });
        const best = ways.reduce((a, b) => (less(b.cost, a.cost) < 0 ? b : a));
        return { slot, cost: best.cost, n: best.n };
      });
      if (here.length) before = here;
      return here;
    });
    let last = before ? before.indexOf(before.reduce((a, b) => (less(b.cost, a.cost) < 0 ? b : a))) : 0;
    return reached.reverse().map(here => {
      if (!here.length) return null;
      const found = here[last];
      last = found.n;
      return found.slot;
    }).reverse();
  }

  // What a foot presses to come from one place to another: inside a preset only what changes there.
  const same = (from, to) => from && from[0] === to[0] && from[1] === to[1];
  const stored = slot => slot[2].split(' press ')[0];
  const own = slot => stored(slot).split(' again')[0];
  function way(from, to) {
    const [row = 0, pressed = 0] = to.slice(3);
    const [was = 0, held = 0] = from ? from.slice(3) : [];
    const here = same(from, to);
    const stays = here && row === was;
    const calls = stays ? [] : here || !row ? [stored(to)] : [own(to), stored(to)];
    const moved = (show.switches || []).flatMap((name, n) => {
      const bit = 1 << n;
      if (!(((stays ? held : 0) ^ pressed) & bit)) return [];
      return [name + (pressed & bit ? ' on' : ' off')];
    });
    return calls.concat(moved).join(', ');
  }

  // What is told of it. After a break nobody is sure that the foot still stands there: `sheet::Presses` says the same of a set.
  function press(from, { to, called, none }, sure) {
    if (!to) return { press: none };
    if (called) return { press: own(to) + ' called', thin: true };
    const [rows, pulses] = [show.rows, show.pulses].map(list => (list || []).some(slot => same(slot, to)));
    const [was = 0, held = 0] = from ? from.slice(3) : [];
    // The whole way is right from there too where its first press leads back to the first row, or changes nothing:
    // `SlotRange::resumed` says the same.
    const apart = !sure && same(from, to) && (rows ? !was || (pulses && to[3]) : held !== 0);
    const presses = sure || apart ? way(from, to) : way(null, to);
    const thin = !presses && (Boolean(to[4]) || rows);
    return { press: presses || own(to) + (thin ? ' stays' : ''), thin, elsewhere: apart ? 'from elsewhere ' + way(null, to) : '' };
  }

  // What hands hold in a part.
  const held = (song, part) => {
    const { guitar, tuning, capo } = (part && part.hands) || song;
    const plain = tuning !== null && tuning.trim().toLowerCase() === 'standard';
    return { guitar, tuning: plain ? null : tuning, capo };
  };

  // What hands do before each song and between its parts: the guitar in hand, and how each one is tuned that was played already.
  function hands() {
    let holds = null;
    const tuned = new Map();
    const capos = new Map();
    return song => {
      const out = [];
      if (song.guitar !== null && song.guitar !== holds) out.push('take ' + song.guitar);
      holds = song.guitar;
      const was = tuned.get(holds);
      if (song.tuning === null) tuned.delete(holds); else tuned.set(holds, song.tuning);
      if (song.tuning !== null && was !== song.tuning) out.push('tune to ' + song.tuning);
      if (song.tuning === null && was !== undefined) out.push('tune back to standard');
      const at = capos.get(holds);
      if (song.capo === null) capos.delete(holds); else capos.set(holds, song.capo);
      if (song.capo !== null && at !== song.capo) out.push('capo ' + song.capo);
      if (song.capo === null && at !== undefined) out.push('capo off');
      return out;
    };
  }

  function build() {
    const played = order();
    const parts = [];
    for (const e of played) {
      if (e.song === undefined) continue;
      show.songs[numbers.get(e.song)].parts.forEach((part, n) => parts.push({ slots: part.slots, inside: n > 0, called: part.called }));
    }
    const slots = path(parts)[Symbol.iterator]();
    const change = hands();
    const times = new Map();
    let number = 0;
    steps = played.flatMap((e, line) => {
      const nth = times.get(e.song + '|' + e.pause) || 0;
      times.set(e.song + '|' + e.pause, nth + 1);
      if (e.song === undefined) return [{ line, pause: e.pause, encore: e.encore, nth, number: 0, before: [], acts: show.tried ? [['note', show.tried]] : [] }];
      const song = show.songs[numbers.get(e.song)];
      number += 1;
      const first = { line, song, nth, number, before: change(held(song, song.parts[0])), acts: [], part: '', name: '', slot: '', none: '', at: 0 };
      if (!song.parts.length) return [first];
      const stale = new Map();
      const made = song.parts.map((part, n) => {
        const slot = slots.next().value;
        const kept = slot && stored(slot);
        if (slot && show.stale.includes(kept)) stale.set(kept, [slot[0], slot[1], kept]);
        const before = n ? change(held(song, part)) : first.before;
        return { ...first, ...part, before, part: part.label, at: n, to: slot, slot: slot ? slot[2] : part.none };
      });
      const wait = [...stale.values()].sort((a, b) => a[0] - b[0] || a[1] - b[1]).map(slot => slot[2]);
      if (wait.length) first.before.unshift('reprogram ' + wait.join(', ') + ' first');
      return made;
    });
  }

  // A place is a song and a part by their names: it holds in another order, and in a new version of the book.
  const place = () => {
    const s = steps[step];
    if (!s) return null;
    return s.song ? { song: s.song.title, nth: s.nth, part: s.part, at: s.at } : { pause: s.pause, nth: s.nth };
  };
  function find(where) {
    if (!where) return 0;
    const same = steps.map((s, n) => [s, n]).filter(([s]) =>
      where.song === undefined ? s.pause === where.pause : s.song && s.song.title === where.song);
    const of = same.filter(([s]) => s.nth === where.nth);
    const those = of.length ? of : same;
    const part = those.filter(([s]) => s.part === where.part);
    // A part that is played twice is the one that stood at the same place.
    const exact = part.find(([s]) => s.at === where.at) || part[0] || those[0];
    return exact ? exact[1] : 0;
  }

  // Where the foot stands: in the slot of the part that was shown last, whatever its place in the order; and in which song,
  // as long as no break came. What it pressed for the part that is shown.
  let stands = { slot: show.wakes, song: '' };
  let seen = '';
  let told = {};
  const played = s => s.nth + ' ' + s.song.title;
  const sure = s => stands.song === played(s);
  function come(s, anew) {
    const name = s && s.song ? s.at + ' ' + played(s) : '';
    if (name && name === seen && String(s.to) === String(stands.slot)) return;
    seen = name;
    if (!name) stands.song = '';
    // A page that was just opened, and is turned to its start: the unit wakes.
    if (anew) stands = { slot: show.wakes, song: '' };
    told = name ? press(stands.slot, s, sure(s)) : {};
    if (name && s.to) stands = { slot: s.to, song: played(s) };
  }

  let turned = 0;
  function go(to) {
    step = Math.min(Math.max(to, 0), Math.max(steps.length - 1, 0));
    kept.set = sets[now].name;
    kept.places[sets[now].name] = place();
    keep();
    at('said').textContent = '';
    turned += 1;
    come(steps[step], turned < 3 && step === 0);
    draw();
  }

  function choose(n) {
    now = n;
    undo = [];
    build();
    go(find(kept.places[sets[now].name]));
  }

  // ---- What is shown ----
  const facts = song => [song.guitar, song.tuning, ...song.music].filter(Boolean).join(' · ');

  function draw() {
    const s = steps[step] || { pause: 'nothing to play', number: 0, before: [], acts: [] };
    const songs = steps.reduce((most, one) => Math.max(most, one.number), 0);
    const pause = !s.song;
    at('now').classList.toggle('pause', pause);
    const changed = kept.orders[sets[now].name] ? ', order changed' : '';
    at('count').textContent = (pause ? (s.encore ? 'encore' : 'pause') : s.number + ' of ' + songs) + changed;
    at('facts').textContent = pause ? '' : facts(s.song);
    at('tempo').textContent = !pause && s.song.tempo ? s.song.tempo : '';
    beat(pause ? null : s.song.bpm);
    at('song').textContent = pause ? s.pause : s.song.title;
    at('slot').textContent = told.press || '';
    at('slot').classList.toggle('thin', Boolean(told.thin));
    at('slot').hidden = !s.slot;
    at('part').textContent = s.name || '';
    at('held').toggleAttribute('data-off', !s.held);
    const before = s.before.length ? [['before', s.before.join(', ')]] : [];
    const notes = s.at === 0 ? s.song.notes.map(says => ['note', says]) : [];
    const elsewhere = told.elsewhere ? [['foot', told.elsewhere]] : [];
    at('acts').replaceChildren(...before.concat(elsewhere, s.acts, notes).map(([who, says]) =>
      make('li', (who === 'before' ? 'before: ' : '') + says, { className: who })));
    at('acts').hidden = before.length + elsewhere.length + s.acts.length + notes.length === 0;
    const mine = pause ? [] : steps.map((one, n) => [one, n]).filter(([one]) => one.line === s.line);
    at('parts').hidden = mine.length < 2;
    at('parts').replaceChildren(...mine.map(([one, n]) => {
      const way = n === step ? told : press(stands.slot, one, sure(one));
      const button = make('button', way.press + ' ' + one.name, { type: 'button' });
      if (n === step) button.setAttribute('aria-current', 'step');
      button.addEventListener('click', () => go(n));
      const li = document.createElement('li');
      li.append(button);
      return li;
    }));
    const then = steps[step + 1];
    const after = steps.slice(step + 1).find(one => one.song && one.line !== s.line);
    const leaves = !then || then.line !== s.line;
    const way = then && then.song ? press(stands.slot, then, sure(then)) : {};
    const presses = (way.press || '') + (way.elsewhere ? ' (' + way.elsewhere + ')' : '');
    at('next').textContent = !then ? 'end of the set'
      : !then.song ? 'then ' + (then.encore ? '' : 'a pause: ') + then.pause
      : leaves ? 'then ' + presses + ' ' + then.song.title
      : 'then ' + presses + ' ' + then.name;
    at('next').classList.toggle('thin', Boolean(way.thin));
    const opens = leaves && then && then.song;
    at('after').textContent = after && !opens ? 'next song: ' + after.song.title : '';
    // What the next song or part asks of hands is told before it is there.
    const change = leaves ? (after ? after.before.join(', ') : '') : then.before.join(', ');
    at('change').textContent = change;
    for (const id of ['after', 'change']) at(id).hidden = !at(id).textContent;
    at('back').disabled = step === 0;
    at('on').disabled = step >= steps.length - 1;
    at('many').textContent = kept.notes.length ? ' ' + kept.notes.length : '';
    fit();
  }

  function beat(bpm) {
    const on = bpm && !kept.look.still;
    at('beat').hidden = !bpm;
    at('beat').toggleAttribute('data-on', Boolean(on));
    // No faster than three in a second: a quick song is shown at half its tempo.
    let seconds = bpm ? 60 / bpm : 1;
    while (seconds < 1 / 3) seconds *= 2;
    at('beat').style.setProperty('--beat', seconds.toFixed(4) + 's');
  }

  // The share of its size that a capital of these letters is high.
  const pen = document.createElement('canvas').getContext('2d');
  pen.font = '600 100px system-ui, sans-serif';
  const capital = (pen.measureText('H').actualBoundingBoxAscent || 70) / 100;
  // Capitals of 20 minutes of arc, h = 2·D·tan(a/2) (NUREG-0700): 0.6 m and 68 mm, or 1.2 m and 160 mm, of short side.
  const short = () => Math.min(root.clientWidth, innerHeight);
  const tablet = () => short() >= 600;
  const screen = () => tablet() ? { metres: 1.2, wide: 160 } : { metres: .6, wide: 68 };
  const high = metres => 2 * metres * 1000 * Math.tan(Math.PI / 180 / 6);
  // A little more, for what is rounded away.
  const need = () => 1.003 * high(screen().metres) / screen().wide * short() / capital;

  // As large as there is room for: first the slot, then all that leads.
  function fit() {
    const set = (name, value) => root.style.setProperty(name, value);
    const size = 1 + .25 * kept.look.size;
    const least = need();
    set('--need', least + 'px');
    set('--size', String(size));
    const pause = at('now').classList.contains('pause');
    const one = at(pause ? 'song' : 'slot');
    const holds = () => root.scrollHeight <= innerHeight && one.scrollWidth <= one.clientWidth + 1;
    const most = (low, high, name, unit) => {
      set(name, low + unit);
      if (!holds()) return false;
      for (let n = 0; n < 9; n++) {
        const middle = (low + high) / 2;
        set(name, middle + unit);
        if (holds()) low = middle; else high = middle;
      }
      set(name, low + unit);
      return true;
    };
    at('song').style.overflowWrap = '';
    set('--k', '1');
    set('--slot', least * size * 1.3 + 'px');
    // In very large letters the foot would hide the rest: then it lies below it.
    root.classList.remove('tall');
    root.classList.toggle('tall', document.querySelector('footer').offsetHeight > innerHeight * .42);
    // A pause is not so large that a word breaks, if that can be.
    one.style.overflowWrap = 'normal';
    // Where it does not fit at all, the page is longer than the screen, and the foot stays in sight.
    const slot = least * size * 1.3;
    if (most(slot, Math.max(innerHeight * (root.clientWidth > innerHeight ? .62 : .4), slot), '--slot', 'px')) most(1, 2.2, '--k', '');
    else one.style.overflowWrap = '';
    at('measure').textContent = 'What leads is read from ' + screen().metres + ' m (20 minutes of arc) on a screen whose short side is '
      + screen().wide + ' mm, ' + (screen().wide / short()).toFixed(3) + ' mm a pixel: capitals of '
      + (least * size * capital).toFixed(1) + ' pixels and more.';
  }
  addEventListener('resize', fit);

  // ---- The order is changed ----
  function change(items) {
    const where = place();
    undo.push(kept.orders[sets[now].name] || null);
    settle(items, where);
  }
  function settle(items, where) {
    const same = items && JSON.stringify(items) === JSON.stringify(sets[now].book);
    if (!items || same) delete kept.orders[sets[now].name]; else kept.orders[sets[now].name] = items;
    build();
    go(find(where));
    list();
  }
  const names = () => order().slice();

  function list() {
    at('night').value = String(now);
    const own = order();
    let number = 0;
    at('list').replaceChildren(...own.map((e, n) => {
      const li = document.createElement('li');
      const says = e.song === undefined ? (e.encore ? 'encore' : 'pause: ' + e.pause) : (number += 1) + ' ' + e.song;
      const to = make('button', says, { type: 'button' });
      const here = steps.findIndex(s => s.line === n);
      if (steps[step] && steps[step].line === n) to.setAttribute('aria-current', 'true');
      to.addEventListener('click', () => { shut(); go(here); });
      li.append(to);
      const edit = (sign, does, what, off) => {
        const button = make('button', sign, { type: 'button', disabled: off });
        button.setAttribute('aria-label', does + ' ' + what);
        li.append(button);
        return button;
      };
      const what = e.song === undefined ? e.pause : e.song;
      edit('▲', 'earlier:', what, n === 0).addEventListener('click', () => move(n, -1));
      edit('▼', 'later:', what, n === own.length - 1).addEventListener('click', () => move(n, 1));
      edit('×', 'drop', what, false).addEventListener('click', () => change(names().filter((_, m) => m !== n)));
      return li;
    }));
    at('all').replaceChildren(...show.songs.map(song => {
      const li = document.createElement('li');
      li.append(make('span', song.title + (song.why ? ': ' + song.why : '')));
      const add = make('button', 'add', { type: 'button', disabled: Boolean(song.why) });
      add.setAttribute('aria-label', 'add ' + song.title);
      add.addEventListener('click', () => change(names().concat([{ song: song.title }])));
      li.append(add);
      return li;
    }));
    const lost = gone().map(e => e.song);
    const changed = Boolean(kept.orders[sets[now].name]);
    at('changed').hidden = !changed && !undo.length;
    at('how').textContent = (changed ? 'The order is changed.' : 'The order is the book\'s.')
      + (lost.length ? ' No longer in the book: ' + lost.join(', ') + '.' : '');
    at('undo').disabled = !undo.length;
    at('book').disabled = !changed;
    at('encore').disabled = own.some(e => e.encore);
    const head = '# ' + [sets[now].title, show.book, show.version].filter(Boolean).join(' · ');
    let line = 0;
    const says = e => e.song !== undefined ? (line += 1) + '. "' + e.song + '"' : e.encore ? 'encore:' : 'pause: ' + e.pause;
    at('text').value = [head].concat(own.map(says)).join('\n') + '\n';
  }
  function move(n, by) {
    const items = names();
    [items[n], items[n + by]] = [items[n + by], items[n]];
    change(items);
  }
  at('undo').addEventListener('click', () => { if (undo.length) settle(undo.pop(), place()); });
  at('book').addEventListener('click', () => change(null));
  at('encore').addEventListener('click', () => change(names().concat([ENCORE])));
  at('night').replaceChildren(...sets.map((set, n) => make('option', set.title, { value: String(n) })));
  at('night').addEventListener('change', event => { choose(Number(event.target.value)); list(); });

  // ---- The player answers back ----
  const quoted = text => '"' + text.replaceAll('"', '”') + '"';
  function note(says) {
    const s = steps[step];
    const words = says.replace(/\s+/g, ' ').trim();
    if (!s || !s.song || !words) return;
    kept.notes.push({ set: sets[now].title, song: s.song.title, part: s.part, scene: s.scene || '', slot: s.slot, version: show.version, says: words });
    at('said').textContent = 'noted at ' + (s.part || s.song.title) + ': ' + words;
    keep();
    draw();
  }
  function noted() {
    const s = steps[step];
    at('where').textContent = s && s.song ? [s.song.title, s.part].filter(Boolean).join(', ') : 'a pause: nothing to note';
    at('words').disabled = !s || !s.song;
    at('kept').replaceChildren(...kept.notes.map((one, n) => {
      const li = make('li', '');
      li.append(make('span', one.song + ', ' + one.part + ': ' + one.says));
      const drop = make('button', '×', { type: 'button' });
      drop.setAttribute('aria-label', 'drop the note ' + one.says);
      drop.addEventListener('click', () => { kept.notes.splice(n, 1); keep(); draw(); noted(); });
      li.append(drop);
      return li;
    }));
    at('noted').value = kept.notes.map(one => [one.set, one.song, one.part, one.scene, one.slot, one.version, one.says].map(quoted).join(' ') + '\n').join('');
  }
  document.querySelectorAll('.answer').forEach(button => button.addEventListener('click', () => note(button.textContent)));
  at('write').addEventListener('submit', event => {
    event.preventDefault();
    note(at('words').value);
    at('words').value = '';
    at('words').blur();
    noted();
  });

  screenPage.giving({ text: 'tonight.txt', noted: 'notes.txt' });

  // ---- Keys and touch ----
  const shut = screenPage.dialogs({ order: list, look: () => {}, notes: noted });

  const moves = {
    ArrowRight: 1, ArrowDown: 1, PageDown: 1, ' ': 1, Enter: 1,
    ArrowLeft: -1, ArrowUp: -1, PageUp: -1, Backspace: -1,
  };
  // A page-turning pedal never tabs: who does works the controls by keys, until something is touched or a page turned.
  let tabbed = false;
  const works = key => {
    const own = document.activeElement;
    if (own.matches('input, textarea')) return !key.startsWith('Page');
    return tabbed && own.matches('button, select') && (key === ' ' || key === 'Enter' || (own.matches('select') && key.startsWith('Arrow')));
  };
  addEventListener('pointerdown', () => { tabbed = false; }, true);
  addEventListener('keydown', event => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === 'Tab') tabbed = true;
    const edge = { Home: 0, End: steps.length - 1 }[event.key];
    if ((!moves[event.key] && edge === undefined) || works(event.key)) return;
    event.preventDefault();
    event.stopPropagation();
    // A key that is held counts once.
    if (event.repeat) return;
    tabbed = false;
    shut();
    document.activeElement.blur();
    go(edge === undefined ? step + moves[event.key] : edge);
  }, true);
  addEventListener('keyup', event => { if (event.key === ' ' && !works(' ')) event.preventDefault(); }, true);
  // What was touched does not keep the focus.
  addEventListener('click', () => { if (!tabbed && document.activeElement.matches('button, select')) document.activeElement.blur(); });

  let from = null;
  at('now').addEventListener('touchstart', event => {
    const touch = event.changedTouches[0];
    from = event.touches.length === 1 ? [touch.clientX, touch.clientY] : null;
  }, { passive: true });
  at('now').addEventListener('touchend', event => {
    if (!from) return;
    const touch = event.changedTouches[0];
    const [x, y] = [touch.clientX - from[0], touch.clientY - from[1]];
    from = null;
    if (Math.abs(x) > 50 && Math.abs(x) > 2 * Math.abs(y)) go(step + (x < 0 ? 1 : -1));
  }, { passive: true });
  at('on').addEventListener('click', () => go(step + 1));
  at('back').addEventListener('click', () => go(step - 1));

  // ---- How it looks ----
  const dress = screenPage.dressing(kept.look, () => {
    at('motion').setAttribute('aria-pressed', String(!kept.look.still));
    keep();
    draw();
  });
  at('motion').addEventListener('click', () => { kept.look.still = !kept.look.still; dress(); });

  choose(now);
  dress();
})();
