'use strict';
// At the stone: a step at a time, in figures read from two metres.

const StonesView = (() => {
  const { el, byId, button } = Dom;
  const LOG = 'kit-log.json';
  let shown = null;
  let at = null;
  let step = 0;
  const counted = new Map();
  let lock = null;

  function update(reply) {
    shown = reply.stones ?? null;
    const list = byId('stones-list');
    if (!shown) {
      leave();
      Shown.fill(list, Shown.sentences(reply.refused ?? [], 'refused'));
      return;
    }
    Shown.fill(list, Shown.sentences(shown.faults, 'refused'), el('p', {}, 'Which is on the stone?'),
      el('ul', { class: 'blades' }, shown.blades.map((blade, i) => el('li', {},
        button(blade.blade, () => enter(i), 'large')))),
      Shown.sentences(shown.notes, 'hint'),
      shown.log?.length > 0 && el('section', {}, el('h3', {}, 'Log'), el('ul', {}, shown.log.map((line) => el('li', {}, line))),
        el('p', {}, button('Save the log', saveLog))));
    if (at !== null) draw();
  }

  function saveLog() {
    Shown.download({ name: LOG, media: 'application/json', bytes: new TextEncoder().encode(Bench.all.opened[LOG]) });
  }

  async function enter(i) {
    at = i;
    counted.clear();
    byId('stones-list').hidden = true;
    byId('stone').hidden = false;
    document.body.classList.add('at-the-stone');
    go(0);
    lock = await navigator.wakeLock?.request('screen').catch(() => null);
  }

  function leave() {
    at = null;
    byId('stone').hidden = true;
    byId('stones-list').hidden = false;
    document.body.classList.remove('at-the-stone');
    lock?.release();
    lock = null;
  }

  function go(to) {
    step = to;
    draw();
    byId('stone').querySelector('h1').focus();
  }

  function draw() {
    const blade = shown.blades[at];
    const now = blade.steps[step];
    const last = step === blade.steps.length - 1;
    const count = counted.get(step) ?? 0;
    const strokes = el('output', { class: 'count', 'aria-live': 'off' }, String(count));
    const add = () => {
      counted.set(step, (counted.get(step) ?? 0) + 1);
      strokes.value = String(counted.get(step));
    };
    const counter = now?.grade && el('div', { class: 'strokes' },
      button('A stroke', add, 'large stroke'), el('p', {}, strokes, now.strokes ? ` of about ${now.strokes}` : ' strokes'),
      button('Count anew', () => { counted.set(step, 0); strokes.value = '0'; }, 'small'));
    Shown.fill(byId('stone'),
      el('p', { class: 'whose' }, `${blade.blade} · step ${step + 1} of ${blade.steps.length}`),
      step === 0 ? Shown.sentences(blade.cautions, 'warning') : null,
      el('p', { class: now.figure.length > 6 ? 'figure long' : 'figure' }, now.figure),
      el('h1', { tabindex: '-1' }, now.what),
      Shown.sentences(now.words, 'words'),
      counter,
      el('p', { class: 'steps' },
        step > 0 && button('Back', () => go(step - 1), 'large'),
        !last && button('Next', () => go(step + 1), 'large main'),
        last && (shown.log ? button('Done: write it down', record, 'large main') : button('Done', leave, 'large main')),
        button('Leave', leave, 'large')),
      el('p', { id: 'recorded', role: 'status' }));
  }

  async function record() {
    const blade = shown.blades[at];
    const strokes = blade.steps.flatMap(({ grade }, i) => (grade && counted.get(i) ? [[grade, counted.get(i)]] : []));
    // Year-month-day, as Swedes write it.
    const day = new Date().toLocaleDateString('sv');
    const { reply, parts } = await Bench.ask({ record: { day, blade: blade.blade, strokes } });
    if (reply.refused) {
      Shown.fill(byId('recorded'), Shown.sentences(reply.refused, 'refused'));
      return;
    }
    leave();
    const opened = { ...Bench.all.opened, [LOG]: new TextDecoder().decode(parts[0].bytes) };
    Bench.set({ opened });
    Dom.say(byId('told'), `Written down: ${blade.blade}, ${day}.`);
  }

  return { begin() {}, update, want: () => 'stones', forget() {}, leave };
})();
