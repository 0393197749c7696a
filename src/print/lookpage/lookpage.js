(() => {
  const show = JSON.parse(document.getElementById('show').textContent);
  const { at, make } = screenPage;

  // What was seen is kept by slot and cell, under the book's title: it holds in a new version of the book too.
  const fresh = { by: '', date: '', at: '', seen: {}, look: { light: false, dim: 0, size: 0 } };
  const { kept, keep } = screenPage.keeping('tipring readback ' + show.book, fresh);
  const looks = show.looks;
  let step = Math.max(looks.findIndex(look => look.slot === kept.at), 0);
  // What is marked on the page and not answered yet: cell to what is seen there.
  let marked = new Map();

  // ---- What was seen against what must be there ----
  const rows = look => (look.name === null ? [] : [{ cell: 'scene', short: 'name', says: 'name', wants: look.name, shows: look.name, other: null, step: null }]).concat(look.cells);
  // A position is right when it is the wanted one, as far as its digits go.
  function right(cell, text) {
    const seen = text.trim().toLowerCase();
    if (seen === cell.wants.toLowerCase()) return true;
    if (cell.step === null) return false;
    const step = /^step (\d+)$/.exec(seen);
    if (step) return Number(step[1]) === cell.step;
    const number = /^\d+([.,]\d+)?(?=\s*%?$)/.exec(seen);
    if (!number) return false;
    const ten = 10 ** (number[1] ? number[1].length - 1 : 0);
    return Math.floor(cell.step * 100 * ten / (cell.steps - 1) + .5) === Math.round(Number(number[0].replace(',', '.')) * ten);
  }
  const seen = look => kept.seen[look.slot] || { cells: {} };
  const looked = look => rows(look).every(cell => seen(look).cells[cell.cell] !== undefined);
  const wrong = look => rows(look).filter(cell => {
    const text = seen(look).cells[cell.cell];
    return text !== undefined && !right(cell, text);
  });
  const state = look => (wrong(look).length ? wrong(look).length + ' wrong' : looked(look) ? 'right' : 'not looked at');

  // ---- What is shown ----
  function draw() {
    const look = looks[step];
    const done = looks.filter(looked).length;
    const bad = looks.filter(one => wrong(one).length).length;
    at('count').textContent = done + ' of ' + looks.length + ' seen';
    at('found').textContent = bad ? bad + ' wrong' : '';
    for (const id of ['back', 'yes', 'on']) at(id).disabled = !look;
    if (!look) { at('slot').textContent = '-'; at('scene').textContent = 'nothing to look at'; return; }
    at('slot').textContent = look.slot;
    at('scene').textContent = look.scene;
    at('songs').textContent = 'in ' + (look.songs || 'no') + (look.songs === 1 || !look.songs ? ' song' : ' songs');
    at('cells').replaceChildren(...rows(look).map(cell => line(look, cell)));
    at('yes').textContent = marked.size ? 'as marked' : 'yes, all';
    at('back').disabled = step === 0;
    at('on').disabled = step === looks.length - 1;
  }

  // A cell: touched, it is otherwise; where there are more than two values, what is seen is typed.
  function line(look, cell) {
    const li = make('li', '');
    const is = marked.get(cell.cell);
    const button = make('button', '', { type: 'button' });
    const says = is === undefined ? cell.shows : cell.other ? cell.other[1] + ', not ' + cell.shows : 'not ' + cell.shows;
    // What has two values is a tile: a preset is seen without turning the page.
    const tile = Boolean(cell.other);
    const shown = tile && is !== undefined ? cell.other[1] : says;
    button.append(make('span', tile ? cell.short : cell.says), ' ', make('b', shown));
    if (tile) button.setAttribute('aria-label', cell.short + ' ' + shown + ', ' + cell.says);
    li.className = tile ? 'tile' : '';
    if (tile && cell.wants === '1') li.classList.add('set');
    button.setAttribute('aria-pressed', String(is !== undefined));
    button.addEventListener('click', () => {
      if (is !== undefined) marked.delete(cell.cell); else marked.set(cell.cell, cell.other ? cell.other[0] : '');
      draw();
      const again = at('cells').children[rows(look).indexOf(cell)] || [...at('cells').children].find(one => one.dataset.cell === cell.cell);
      (again.querySelector('input') || again.querySelector('button')).focus();
    });
    li.dataset.cell = cell.cell;
    li.append(button);
    if (is !== undefined && !cell.other) {
      const label = make('label', 'it shows ');
      const input = make('input', '', { value: is, autocomplete: 'off', maxLength: 40 });
      input.addEventListener('input', () => marked.set(cell.cell, input.value));
      label.append(input);
      li.append(label);
    }
    return li;
  }

  function go(to) {
    step = Math.min(Math.max(to, 0), Math.max(looks.length - 1, 0));
    marked = new Map();
    const look = looks[step];
    if (look) {
      kept.at = look.slot;
      for (const cell of wrong(look)) marked.set(cell.cell, seen(look).cells[cell.cell]);
    }
    keep();
    draw();
    scrollTo(0, 0);
  }

  // The answer is kept at once; then comes the next preset that nobody has looked at.
  function answer() {
    const look = looks[step];
    if (!look) return;
    const empty = rows(look).find(cell => marked.get(cell.cell) !== undefined && !marked.get(cell.cell).trim());
    if (empty) {
      at('said').textContent = 'type what ' + empty.says + ' shows';
      const input = [...at('cells').children].find(one => one.dataset.cell === empty.cell).querySelector('input');
      input.focus();
      return;
    }
    const cells = {};
    for (const cell of rows(look)) cells[cell.cell] = marked.has(cell.cell) ? marked.get(cell.cell).trim() : cell.wants;
    kept.seen[look.slot] = { cells, version: show.version };
    const said = look.slot + ' ' + look.scene + ': ' + state(look);
    const later = looks.findIndex((one, n) => n > step && !looked(one));
    const next = later >= 0 ? later : looks.findIndex(one => !looked(one));
    go(next >= 0 ? next : step);
    at('said').textContent = said + (next < 0 ? '; every preset was looked at' : '');
  }

  // ---- The presets, and the record ----
  function list() {
    at('all').replaceChildren(...looks.map((look, n) => {
      const li = make('li', '');
      const to = make('button', look.slot + ' ' + look.scene + ': ' + state(look), { type: 'button' });
      if (n === step) to.setAttribute('aria-current', 'true');
      to.addEventListener('click', () => { shut(); go(n); });
      li.append(to);
      return li;
    }));
  }

  const quoted = text => (/[",\n\r;]/.test(text) ? '"' + text.replaceAll('"', '""') + '"' : text);
  function record() {
    at('by').value = kept.by;
    at('date').value = kept.date;
    at('version').textContent = show.version;
    written();
  }
  function written() {
    const those = looks.filter(look => kept.seen[look.slot]);
    const bad = those.reduce((n, look) => n + wrong(look).length, 0);
    at('sum').textContent = those.length + ' of ' + looks.length + ' presets looked at, ' + bad + (bad === 1 ? ' thing wrong' : ' things wrong');
    const lines = those.map(look => show.heads.map(head => {
      const beside = { slot: look.slot, by: kept.by, date: kept.date, version: seen(look).version };
      return quoted(String(beside[head] !== undefined ? beside[head] : seen(look).cells[head] || ''));
    }).join(','));
    at('text').value = [show.heads.map(quoted).join(',')].concat(lines).join('\n') + '\n';
  }
  for (const id of ['by', 'date']) {
    at(id).addEventListener('input', () => { kept[id] = at(id).value; keep(); written(); });
  }
  // What took an hour is not lost by one touch.
  let sure = false;
  at('forget').addEventListener('click', () => {
    if (sure) { kept.seen = {}; go(0); written(); }
    sure = !sure;
    at('forget').textContent = sure ? 'touch again to forget all that was seen' : 'forget all';
  });

  const shut = screenPage.dialogs({ list, look: () => {}, record });
  screenPage.giving({ text: 'read.csv' });
  at('yes').addEventListener('click', answer);
  at('back').addEventListener('click', () => go(step - 1));
  at('on').addEventListener('click', () => go(step + 1));

  addEventListener('keydown', event => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.repeat || document.querySelector('dialog[open]')) return;
    const own = document.activeElement;
    if (own.matches('input')) {
      if (event.key === 'Enter') { event.preventDefault(); answer(); }
      return;
    }
    const on = { ArrowRight: 1, PageDown: 1, ArrowLeft: -1, PageUp: -1 }[event.key];
    if (on) go(step + on);
    else if (event.key === 'y') answer();
    else if (event.key === 'n') { const first = at('cells').querySelector('button'); if (first) first.focus(); }
    else return;
    event.preventDefault();
  });

  const dress = screenPage.dressing(kept.look, () => { screenPage.root.style.setProperty('--size', String(1 + .25 * kept.look.size)); keep(); draw(); });
  const first = looks.findIndex(look => !looked(look));
  go(kept.at && looks[step] && looks[step].slot === kept.at ? step : Math.max(first, 0));
  dress();
})();
