'use strict';
// What the pages for a screen share: what is kept on the device, texts that leave the page, dialogs, how it looks.
const screenPage = (() => {
  const at = id => document.getElementById(id);
  const root = document.documentElement;
  const make = (name, text, more) => Object.assign(document.createElement(name), { textContent: text }, more);

  // A page that may not keep anything still works.
  function keeping(key, fresh) {
    let kept = fresh;
    try {
      const found = JSON.parse(localStorage.getItem(key) || '{}');
      kept = { ...fresh, ...found, look: { ...fresh.look, ...found.look } };
    } catch { /* begin anew */ }
    const keep = () => { try { localStorage.setItem(key, JSON.stringify(kept)); } catch { /* not kept */ } };
    return { kept, keep };
  }

  // A text leaves the page: copied, shared, or saved under the name that goes with its area.
  function giving(names) {
    const give = {
      copy: async (text, area) => {
        try { await navigator.clipboard.writeText(text); } catch { area.select(); document.execCommand('copy'); }
        return 'copied';
      },
      share: async text => { await navigator.share({ text }); return 'shared'; },
      save: async (text, area) => {
        const link = make('a', '', { href: URL.createObjectURL(new Blob([text], { type: 'text/plain' })), download: names[area.id] });
        link.click();
        setTimeout(() => URL.revokeObjectURL(link.href), 1000);
        return 'saved';
      },
    };
    document.querySelectorAll('[data-give]').forEach(button => {
      if (button.dataset.give === 'share' && !navigator.share) button.hidden = true;
      const name = button.textContent;
      button.addEventListener('click', async () => {
        const area = at(button.dataset.of);
        try { button.textContent = await give[button.dataset.give](area.value, area); } catch { button.textContent = 'not ' + name; }
        setTimeout(() => { button.textContent = name; }, 2000);
      });
    });
  }

  // Dialogs, with what fills some of them before they open; gives what shuts them.
  function dialogs(open) {
    const shut = () => document.querySelectorAll('dialog[open]').forEach(dialog => dialog.close());
    document.querySelectorAll('[data-open]').forEach(button => button.addEventListener('click', () => {
      (open[button.dataset.open] || (() => {}))();
      at(button.dataset.open).showModal();
    }));
    document.querySelectorAll('[data-shut]').forEach(button => button.addEventListener('click', shut));
    return shut;
  }

  // Light or dark, how dim, how large; gives what dresses the page anew.
  function dressing(look, then) {
    function dress() {
      root.classList.toggle('light', look.light);
      root.dataset.dim = String(look.dim);
      at('light').setAttribute('aria-pressed', String(look.light));
      at('dimmer').disabled = look.dim === 3;
      at('brighter').disabled = look.dim === 0;
      at('smaller').disabled = look.size === 0;
      at('larger').disabled = look.size === 3;
      then();
    }
    const turn = (id, does) => at(id).addEventListener('click', () => { does(); dress(); });
    turn('light', () => { look.light = !look.light; });
    turn('dimmer', () => { look.dim += 1; });
    turn('brighter', () => { look.dim -= 1; });
    turn('smaller', () => { look.size -= 1; });
    turn('larger', () => { look.size += 1; });
    return dress;
  }

  // The screen stays on where the browser offers it; it lets go whenever the page is hidden.
  const wake = async () => {
    if (!('wakeLock' in navigator) || document.visibilityState !== 'visible') return;
    try {
      await navigator.wakeLock.request('screen');
      at('awake').textContent = 'The screen stays on.';
    } catch { at('awake').textContent = ''; }
  };
  document.addEventListener('visibilitychange', wake);
  addEventListener('pointerdown', wake, { once: true });
  wake();

  return { at, root, make, keeping, giving, dialogs, dressing };
})();
