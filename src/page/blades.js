'use strict';
// My blades: kinds of blades with their angles, or the blades themselves, with what is advised of them.

const BladesView = (() => {
  const { el, byId, radios } = Dom;
  let kinds = null;
  let blades = null;
  let choose = null;

  const isListed = () => Bench.all.lanes === 'blades';

  function begin() {
    choose = radios('lanes-by', (lanes) => Bench.set({ lanes }));
    const place = byId('blades-form');
    const [ofKinds, ofBlades] = [el('div', { class: 'of-kinds' }), el('div', { class: 'of-blades' })];
    place.append(ofKinds, ofBlades);
    kinds = Fields.form(ofKinds, 'block', {
      shows: (field) => field.key.startsWith('settings.'),
      needed: (field) => /\.(tool|angles|thickness)$/.test(field.key),
    });
    blades = Fields.form(ofBlades, 'blades', {
      needed: (field) => /\.(name|tool|width|thickness|use)$/.test(field.key), more: 'The kit: units, abrasives, title',
    });
  }

  function update(reply, parts) {
    const listed = isListed();
    choose(listed ? 'blades' : 'angles');
    byId('blades-form').firstElementChild.hidden = listed;
    byId('blades-form').lastElementChild.hidden = !listed;
    const seen = byId('blades-seen');
    if (reply.block) {
      kinds.update({ ...reply.block.form, faults: [] });
      const shown = reply.block;
      Shown.fill(seen, Shown.sentences(shown.faults, 'refused'),
        shown.table && Shown.table(shown.table, { under: (i) => BlockView.findings(shown.lanes[i]) }));
      return;
    }
    const shown = reply.blades;
    blades.update(shown.form);
    Shown.fill(seen, Shown.sentences(shown.faults, 'refused'),
      shown.advice.map(({ blade, lines }) => el('section', { class: 'advice' }, el('h3', {}, blade),
        el('ul', {}, lines.map((line) => el('li', {}, line))))),
      shown.fences && Shown.table(shown.fences), Shown.sentences(shown.notes),
      shown.advice.length === 0 && el('p', { class: 'hint' }, 'What is advised stands here when guide and blades are known.'));
  }

  return { begin, update, want: () => (isListed() ? 'blades' : { block: {} }), forget: () => { kinds.forget(); blades.forget(); } };
})();
