'use strict';
// What is on the bench, and its keeping: in this browser's store, and as files.

const Bench = (() => {
  const KEY = 'stopwright-bench';
  const heard = [];
  let state = { bench: {}, view: 'guide', lane: null };
  // What this tab wrote last; what another tab wrote differs from it.
  let written = null;
  let canStore = true;

  function stored() {
    try {
      const read = JSON.parse(localStorage.getItem(KEY));
      return read?.bench ? read : null;
    } catch {
      return null;
    }
  }

  function keep() {
    if (!canStore) return;
    try {
      written = JSON.stringify(state);
      localStorage.setItem(KEY, written);
    } catch {
      canStore = false;
    }
  }

  function changed() {
    keep();
    for (const hear of heard) hear();
  }

  function typed(form) {
    state.bench.typed ??= {};
    return (state.bench.typed[form] ??= {});
  }

  function type(form, key, text) {
    const all = typed(form);
    if (text === '') delete all[key];
    else all[key] = text;
    changed();
  }

  // Takes a row out of a list: later rows move up, and the list ends before the last one.
  function removeRow(form, list, index, count) {
    const all = typed(form);
    const start = list + '.';
    for (const key of Object.keys(all)) {
      if (!key.startsWith(start)) continue;
      const [place, ...rest] = key.slice(start.length).split('.');
      const at = Number(place);
      const value = all[key];
      if (at < index) continue;
      delete all[key];
      if (at > index) all[[list, at - 1, ...rest].join('.')] = value;
    }
    for (let i = 0; i < count - 1; i++) all[`${list}.${i}.another`] = i < count - 2 ? 'yes' : 'no';
    changed();
  }

  function set(part) {
    Object.assign(state.bench, part);
    changed();
  }

  function show(view) {
    state.view = view;
    changed();
  }

  async function setUnits(units) {
    const answer = await ask({ units }).catch(() => null);
    if (answer) state.bench = answer.reply.bench;
    changed();
  }

  function begin(bench) {
    state = { ...state, ...stored() };
    state.bench = { ...bench, ...state.bench };
  }

  // Asks for something of what is on the bench.
  const ask = (want, options) => Answerer.ask({ bench: state.bench, want }, options);

  return {
    ask,
    get state() { return state; },
    get all() { return state.bench; },
    get units() { return state.bench.typed?.guide?.units ?? 'mm'; },
    begin, changed, type, typed, removeRow, set, show, setUnits, KEY,
    replace(bench) { state.bench = bench; changed(); },
    onChange(hear) { heard.push(hear); },
    isOurs(text) { return text === written; },
  };
})();
