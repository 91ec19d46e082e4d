'use strict';
// My guide: how it is known, its lengths one by one, and what follows of it.

const GuideView = (() => {
  const { el, byId, radios } = Dom;
  let calipers = null;
  let settings = null;
  let parts = [];
  let start = null;
  let sides = null;
  let seen = null;
  let choose = {};

  const by = () => {
    const guide = Bench.all.guide;
    return typeof guide === 'string' ? guide : Object.keys(guide)[0];
  };

  function image(shown, className) {
    return el('img', { src: Shown.blobUrl(parts[shown.part]), alt: shown.title, class: className, width: Math.round(shown.size[0] * 3), height: Math.round(shown.size[1] * 3) });
  }

  function begin(begun, its) {
    start = begun;
    parts = its;
    const guideOf = (name) => ({ calipers: { calipers: { like: name } }, profile: { profile: { name } } });
    choose.way = radios('known-by', (way) => {
      const like = Bench.all.guide.calipers?.like ?? start.guides[0].name;
      Bench.set({ guide: { ...guideOf(like), 'known-settings': 'known-settings' }[way] });
    });
    const kind = (group) => (guide) => el('label', { class: 'kind' },
      guide.picture && image({ ...guide.picture, title: '' }, ''),
      el('span', {}, el('input', { type: 'radio', name: group, value: guide.name }), ' ',
        el('strong', {}, guide.name.replaceAll('-', ' ')), el('span', { class: 'about' }, guide.about)));
    for (const [group, way] of [['like', 'calipers'], ['profile', 'profile']]) {
      byId(group).querySelector('.kinds').append(...start.guides.map(kind(group)));
      choose[group] = radios(group, (name) => Bench.set({ guide: guideOf(name)[way] }));
    }

    const needed = (field) => !field['may-be-left-out'];
    const picture = (field) => {
      const shown = start.measuring.find(({ letter }) => letter === field.letter)?.picture;
      return shown && image(shown, 'measuring');
    };
    calipers = Fields.form(byId('guide-form'), 'guide', { needed, picture, more: 'More that can be measured' });
    settings = Fields.form(byId('settings-form'), 'known-settings', {
      needed: (field) => !field['may-be-left-out'] || /angle|projection|seat$|name/.test(field.key), more: 'More that you know',
    });
    seen = byId('guide-seen');
    sides = Shown.pictures(seen.querySelector('.pictures'));
  }

  function update(reply, its) {
    const shown = reply.guide;
    const way = by();
    choose.way(way);
    const name = Bench.all.guide.calipers?.like ?? Bench.all.guide.profile?.name;
    choose.like(name);
    choose.profile(name);
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
  }

  return { begin, update, want: () => 'guide', forget: () => { calipers.forget(); settings.forget(); } };
})();
