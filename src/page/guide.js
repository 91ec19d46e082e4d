'use strict';
// My guide: how it is known, its lengths one by one, and what follows of it.

const GuideView = (() => {
  const { el, byId, say } = Dom;
  let calipers = null;
  let settings = null;
  const pictures = new Map();
  let parts = [];
  let start = null;
  let sides = null;
  let seen = null;

  const by = () => {
    const guide = Bench.state.bench.guide;
    return typeof guide === 'string' ? guide : Object.keys(guide)[0];
  };

  function image(shown, className) {
    const url = URL.createObjectURL(new Blob([parts[shown.part].bytes], { type: 'image/svg+xml' }));
    return el('img', { src: url, alt: shown.title, class: className, width: Math.round(shown.size[0] * 3), height: Math.round(shown.size[1] * 3) });
  }

  function begin(begun, its) {
    start = begun;
    parts = its;
    for (const { letter, picture } of start.measuring) pictures.set(letter, picture);
    const guideOf = (name) => ({ calipers: { calipers: { like: name } }, profile: { profile: { name } } });
    for (const input of document.getElementsByName('known-by')) {
      input.addEventListener('change', () => {
        const like = Bench.state.bench.guide.calipers?.like ?? start.guides[0].name;
        const guide = { calipers: guideOf(like).calipers, 'known-settings': 'known-settings', profile: guideOf(like).profile };
        Bench.set({ guide: guide[input.value] });
      });
    }
    const kind = (name, set) => start.guides.map((guide) => {
      const input = el('input', { type: 'radio', name, value: guide.name, on: { change: () => Bench.set({ guide: set(guide.name) }) } });
      return el('label', { class: 'kind' }, guide.picture && image({ ...guide.picture, title: '' }, ''),
        el('span', {}, input, ' ', el('strong', {}, guide.name.replaceAll('-', ' ')), el('span', { class: 'about' }, guide.about)));
    });
    byId('like').querySelector('.kinds').append(...kind('like', (name) => guideOf(name).calipers));
    byId('profile').querySelector('.profiles').append(...kind('profile', (name) => guideOf(name).profile));

    const needed = (field) => !field['may-be-left-out'];
    const picture = (field) => {
      const shown = pictures.get(field.letter);
      return shown ? image(shown, 'measuring') : null;
    };
    calipers = Fields.form(byId('guide-form'), 'guide', { needed, picture, more: 'More that can be measured' });
    const ofSettings = el('form', { id: 'settings-form', autocomplete: 'off' });
    byId('guide-form').after(ofSettings);
    settings = Fields.form(ofSettings, 'known-settings', {
      needed: (field) => !field['may-be-left-out'] || /angle|projection|seat$|name/.test(field.key), more: 'More that you know',
    });
    seen = byId('guide-seen');
    const places = el('div', { class: 'pictures' });
    seen.append(places, el('div', { class: 'said' }));
    sides = Shown.pictures(places);
  }

  function update(reply, its) {
    const shown = reply.guide;
    const way = by();
    for (const input of document.getElementsByName('known-by')) input.checked = input.value === way;
    const name = Bench.state.bench.guide.calipers?.like ?? Bench.state.bench.guide.profile?.name;
    for (const list of ['like', 'profile']) {
      for (const input of document.getElementsByName(list)) input.checked = input.value === name;
    }
    byId('like').hidden = way !== 'calipers';
    byId('profile').hidden = way !== 'profile';
    byId('guide-form').hidden = way !== 'calipers';
    byId('settings-form').hidden = way !== 'known-settings';
    if (way === 'calipers') calipers.update(shown.form);
    if (way === 'known-settings') settings.update(shown.form);
    sides(shown.sides, its);
    const said = seen.querySelector('.said');
    const waiting = shown.sides.length === 0 && shown.faults.length === 0;
    Shown.fill(said,
      waiting && el('p', { class: 'hint' }, 'The side view is drawn here as soon as the needed lengths are there.'),
      Shown.sentences(shown.faults, 'refused'),
      shown.helps && el('p', { class: 'helps' }, shown.helps),
      shown.table && Shown.table(shown.table),
      shown.known && Shown.table(shown.known),
      shown.notes.length > 0 && el('details', {}, el('summary', {}, 'What could not be checked'), Shown.sentences(shown.notes)));
    say(byId('told'), '');
  }

  return { begin, update, want: () => 'guide', forget: () => { calipers.forget(); settings.forget(); } };
})();
