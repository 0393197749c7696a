'use strict';
(() => {
  const show = JSON.parse(document.getElementById('show').textContent);
  const at = id => document.getElementById(id);
  // A page that may not keep anything still works.
  const keep = {
    get: name => { try { return localStorage.getItem(show.key + ' ' + name); } catch { return null; } },
    set: (name, value) => { try { localStorage.setItem(show.key + ' ' + name, value); } catch { /* not kept */ } },
  };
  const whole = (text, most) => Math.min(Math.max(Number.parseInt(text, 10) || 0, 0), Math.max(most, 0));
  let night = whole(keep.get('night'), show.nights.length - 1);
  let step = 0;

  const steps = () => (show.nights[night] ? show.nights[night].steps : []);
  const place = () => { step = whole(keep.get('step ' + night), steps().length - 1); };
  const fill = (list, items, make) => list.replaceChildren(...items.map(make));
  const item = (text, name) => {
    const li = document.createElement('li');
    li.textContent = text;
    if (name) li.className = name;
    return li;
  };

  function draw() {
    const all = steps();
    const now = all[step];
    at('night').value = String(night);
    document.querySelectorAll('.night').forEach(s => { s.hidden = s.dataset.night !== String(night); });
    if (!now) return;
    const pause = now.number === 0;
    at('now').classList.toggle('pause', pause);
    at('count').textContent = pause ? 'pause' : 'song ' + now.number + ' of ' + show.nights[night].songs;
    at('song').textContent = now.song;
    at('facts').textContent = now.facts;
    at('before').textContent = now.before.join(', ');
    at('before').hidden = now.before.length === 0;
    at('slot').textContent = now.slot;
    at('slot').style.setProperty('--signs', String(Math.max(now.slot.length, 1)));
    at('part').textContent = now.part;
    at('held').hidden = !now.held;
    fill(at('acts'), now.acts, ([who, says]) => item(who + ': ' + says, who));
    const mine = pause ? [] : all.map((s, n) => [s, n]).filter(([s]) => s.number === now.number);
    fill(at('parts'), mine, ([s, n]) => {
      const li = item(s.slot + ' ' + s.part);
      if (n === step) li.setAttribute('aria-current', 'step');
      return li;
    });
    const then = all[step + 1];
    at('next').textContent = !then ? 'end of the set'
      : then.number === 0 ? 'then a pause: ' + then.song
      : then.number === now.number ? 'then ' + then.slot + ' ' + then.part
      : 'then ' + then.slot + ' ' + then.song;
    const song = all.slice(step + 1).find(s => s.number > 0 && s.number !== now.number);
    const told = then && then.number > 0 && then.number !== now.number;
    at('after').textContent = song && !told ? 'next song: ' + song.song : '';
    at('back').disabled = step === 0;
    at('on').disabled = step === all.length - 1;
    keep.set('night', String(night));
    keep.set('step ' + night, String(step));
  }

  function go(to) {
    const most = steps().length - 1;
    step = Math.min(Math.max(to, 0), Math.max(most, 0));
    draw();
  }

  const keys = {
    ArrowRight: 1, ArrowDown: 1, PageDown: 1, ' ': 1,
    ArrowLeft: -1, ArrowUp: -1, PageUp: -1, Backspace: -1,
  };
  document.addEventListener('keydown', event => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const own = event.target.closest('select, summary, button');
    // A choice or a button that has the focus keeps the keys that work it.
    if (own && (event.key === ' ' || event.key === 'Enter' || own.tagName === 'SELECT')) return;
    if (event.key === 'Home') { event.preventDefault(); go(0); }
    if (event.key === 'End') { event.preventDefault(); go(steps().length - 1); }
    if (keys[event.key]) { event.preventDefault(); go(step + keys[event.key]); }
  });

  let from = null;
  document.addEventListener('touchstart', event => {
    const touch = event.changedTouches[0];
    from = event.touches.length === 1 ? [touch.clientX, touch.clientY] : null;
  }, { passive: true });
  document.addEventListener('touchend', event => {
    if (!from) return;
    const touch = event.changedTouches[0];
    const [x, y] = [touch.clientX - from[0], touch.clientY - from[1]];
    from = null;
    if (Math.abs(x) > 50 && Math.abs(x) > 2 * Math.abs(y)) go(step + (x < 0 ? 1 : -1));
  }, { passive: true });

  at('on').addEventListener('click', () => go(step + 1));
  at('back').addEventListener('click', () => go(step - 1));
  at('night').addEventListener('change', event => {
    night = whole(event.target.value, show.nights.length - 1);
    place();
    draw();
  });
  document.querySelectorAll('[data-step]').forEach(button => button.addEventListener('click', () => {
    at('list').open = false;
    go(Number(button.dataset.step));
    at('now').focus();
    window.scrollTo(0, 0);
  }));

  const light = on => {
    document.documentElement.classList.toggle('light', on);
    at('light').setAttribute('aria-pressed', String(on));
  };
  const chosen = keep.get('light');
  light(chosen === null ? window.matchMedia('(prefers-color-scheme: light)').matches : chosen === 'true');
  at('light').addEventListener('click', () => {
    const on = !document.documentElement.classList.contains('light');
    light(on);
    keep.set('light', String(on));
  });

  // The screen stays on where the browser offers it; it lets go whenever the page is hidden.
  const wake = async () => {
    if (!('wakeLock' in navigator) || document.visibilityState !== 'visible') return;
    try {
      await navigator.wakeLock.request('screen');
      at('awake').textContent = 'screen stays on';
    } catch { at('awake').textContent = ''; }
  };
  document.addEventListener('visibilitychange', wake);
  document.addEventListener('pointerdown', wake, { once: true });
  wake();

  place();
  draw();
})();
