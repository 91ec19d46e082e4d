'use strict';
// Prove it: what was measured on the block or jig, the verdicts, and the next block corrected.

const ProofView = (() => {
  const { el, byId, button, radios } = Dom;
  let form = null;
  let choose = null;

  function begin() {
    choose = radios('of-jig', (is) => Bench.set({ 'of-jig': is === 'yes' }));
    form = Fields.form(byId('proof-form'), 'measured', { needed: (field) => field.key !== 'units' });
  }

  // A fence on a line: the limits as ticks, the fence as a mark whose shape says whether it passes.
  function line({ 'of-limit': off, passes }) {
    const shown = Math.max(-1.6, Math.min(1.6, off));
    const ns = 'http://www.w3.org/2000/svg';
    const make = (name, attributes) => {
      const made = document.createElementNS(ns, name);
      for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
      return made;
    };
    const svg = make('svg', { viewBox: '-100 -14 200 28', class: passes ? 'gauge' : 'gauge fails', 'aria-hidden': 'true' });
    const x = shown * 60;
    svg.append(make('path', { d: 'M-98 0H98', class: 'base' }), make('path', { d: 'M-60 -10V10M60 -10V10', class: 'limit' }),
      passes ? make('circle', { cx: x, cy: 0, r: 6, class: 'mark' })
      : make('path', { d: `M${x - 7} -7L${x + 7} 7M${x - 7} 7L${x + 7} -7`, class: 'mark' }));
    return svg;
  }

  function update(reply) {
    const shown = reply.proof;
    const ofJig = Bench.all['of-jig'];
    choose(ofJig ? 'yes' : 'no');
    const seen = byId('proof-seen');
    if (!shown) {
      byId('proof-form').hidden = true;
      Shown.fill(seen, Shown.sentences(reply.refused ?? [], 'refused'));
      return;
    }
    byId('proof-form').hidden = false;
    form.update(shown.form);
    const verdict = (lane) => el('li', { class: lane.passes ? 'verdict' : 'verdict fails' },
      el('strong', {}, `${lane.passes ? '✓' : '✗'} ${lane.id} ${lane.word}`), line(lane),
      el('p', {}, lane.found), el('p', {}, `It sets ${lane.sets}.`), lane['move-it'] && el('p', { class: 'move' }, lane['move-it']));
    Shown.fill(seen, Shown.sentences(shown.faults, 'refused'), Shown.sentences(shown.notes, 'warning'),
      shown.lanes.length === 0 && el('p', { class: 'hint' }, 'The verdict stands here as soon as a fence was measured.'),
      el('ul', { class: 'verdicts' }, shown.lanes.map(verdict)),
      shown['can-be-corrected'] && el('p', {}, button(ofJig ? 'The jig’s sheets, corrected' : 'The next block, corrected',
        () => BlockView.make(ofJig ? ['cut-sheet'] : [], true, true), 'main')),
      shown.report && el('details', {}, el('summary', {}, 'All that was found'), el('pre', { tabindex: '0' }, shown.report)));
  }

  return { begin, update, want: () => 'proof', forget: () => form.forget() };
})();
