'use strict';
// My block: what is made, its plan, the block turned by hand, the lanes with what is refused of them, and the files.

const BlockView = (() => {
  const { el, byId, say, button } = Dom;
  let form = null;
  let model = null;
  let plans = null;
  let side = null;
  let shown = null;
  let asked = '';
  let block = 0;
  let made = null;

  // What was found of a lane, with a word that says how grave it is.
  function findings(lane) {
    if (!lane) return [];
    return [
      ...Shown.sentences(lane.refused.map((line) => [el('strong', {}, 'Refused. '), line]), 'refused'),
      ...Shown.sentences(lane.warnings.map((line) => [el('strong', {}, 'Warning. '), line]), 'warning'),
    ];
  }

  function choose(id) {
    Bench.state.lane = id;
    Bench.changed();
  }

  function begin() {
    form = Fields.form(byId('block-form'), 'block', {
      shows: (field) => !field.key.startsWith('settings.') && field.key !== 'units',
      needed: (field) => ['make', 'print.bed', 'title'].includes(field.key),
    });
    const seen = byId('block-seen');
    const places = seen.querySelector('.pictures');
    model = Model.viewer(choose);
    side = Shown.picture();
    places.before(model.root);
    places.after(side.root);
    plans = Shown.pictures(places);
  }

  function update(reply, parts) {
    shown = reply.block;
    form.update(shown.form);
    const seen = byId('block-seen');
    Shown.fill(seen.querySelector('.faults'), Shown.sentences(shown.faults, 'refused'));
    const all = [...shown.blocks, ...(shown.jig ? [shown.jig] : [])];
    const chosen = shown.lanes[shown.selected];
    plans(all.map(({ plan }) => plan).filter(Boolean), parts);
    side.update(shown.side, parts);
    const notes = [...new Set(shown.lanes.flatMap((lane) => lane.notes))];
    Shown.fill(seen.querySelector('.said'),
      shown.table && Shown.table(shown.table, {
        press: (i) => choose(shown.lanes[i].id), chosen: shown.selected, under: (i) => findings(shown.lanes[i]),
      }),
      all.map((each) => el('section', { class: 'about' }, el('h3', {}, each.name),
        el('p', {}, each.size), el('p', {}, each.held), Shown.sentences(each.findings))),
      shown.fingerprint && el('p', { class: 'hint' }, `Fingerprint ${shown.fingerprint}`),
      Shown.sentences(shown.notes),
      notes.length > 0 && el('details', {}, el('summary', {}, 'What could not be checked'), Shown.sentences(notes)));
    downloads();
    model.chosen(chosen?.id);
    turn(chosen);
  }

  // The model is asked for only where something of it changed.
  async function turn(chosen) {
    block = chosen?.block ?? 0;
    const now = JSON.stringify([block, shown.fingerprint, shown.blocks.map(({ name, size }) => [name, size]), Bench.all.typed?.block]);
    if (shown.blocks.length === 0) {
      model.update({}, []);
      asked = '';
      return;
    }
    if (now === asked) return;
    asked = now;
    const answer = await Bench.ask({ [model.wanted()]: { block } }, { latest: true }).catch(() => null);
    if (answer && !answer.reply.refused) model.update(answer.reply, answer.parts, chosen?.id);
  }

  function downloads() {
    const place = byId('files');
    const makes = shown.files.length > 0 && shown.lanes.every((lane) => lane.refused.length === 0) && shown.faults.length === 0;
    Dom.renew(place, JSON.stringify([makes, shown.files]), () => (makes ? buttons() : []));
    made = byId('made');
  }

  function buttons() {
    const has = (kind) => shown.blocks.length > 0 && shown.files.some((file) => file.kind === kind);
    const asks = (kinds, zipped) => () => make(kinds, zipped);
    return [
      el('h3', {}, 'Files'),
      el('p', { class: 'buttons' },
        button('Everything as one ZIP', asks(shown.blocks.length ? [] : ['cut-sheet'], true), 'main'),
        has('3mf') && button('The block to print, 3MF', asks(['3mf'])),
        has('stl') && button('The block to print, STL', asks(['stl'])),
        has('drawing') && button('The block’s drawing', asks(['drawing'])),
        shown.jig && button('The cut sheet', asks(['cut-sheet']))),
      el('details', {}, el('summary', {}, 'Each kind by itself'), el('p', { class: 'buttons' },
        shown.files.map(({ kind, what }) => button(what, asks([kind]))))),
      el('p', { class: 'hint' }, 'To print at true size, print the PDF at 100 % and measure its check bars. A print from the browser is not to scale.'),
      el('div', { id: 'made', role: 'status' }),
    ];
  }

  async function make(kinds, zipped, corrected = false) {
    const place = made ?? byId('told');
    say(place, 'Making …');
    place.setAttribute('aria-busy', 'true');
    try {
      const { reply, parts } = await Bench.ask({ files: { kinds, zipped, corrected } });
      if (reply.refused) {
        Shown.fill(place, Shown.sentences(reply.refused, 'refused'));
        return;
      }
      if (parts.length === 1) Shown.download(parts[0]);
      const each = (part, i) => el('li', {}, button(part.name, () => Shown.download(part)), ` ${reply.files.what[i] ?? ''}`);
      Shown.fill(place, el('p', {}, parts.length === 1 ? `${parts[0].name} is made.` : 'Made. Save each that you want:'),
        el('ul', { class: 'made' }, parts.map(each)), Shown.sentences(reply.files.warnings, 'warning'));
    } catch (error) {
      Shown.fill(place, el('p', { class: 'refused' }, error.message));
    } finally {
      place.removeAttribute('aria-busy');
      place.hidden = false;
    }
  }

  return {
    begin, update, make, findings, want: () => ({ block: { lane: Bench.state.lane } }),
    forget: () => { form.forget(); asked = ''; },
  };
})();
