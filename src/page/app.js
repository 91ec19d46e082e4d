'use strict';
// The views, and what is asked for them whenever something changes.

(() => {
  const { byId, say, attribute } = Dom;
  const tell = (text) => say(byId('told'), text);
  const views = { guide: GuideView, blades: BladesView, block: BlockView, proof: ProofView, stones: StonesView };
  let waits = false;
  let last = null;
  let turn = 0;

  function show() {
    const { view } = Bench.state;
    for (const name of Object.keys(views)) byId(name).hidden = name !== view;
    for (const button of document.querySelectorAll('nav button')) {
      attribute(button, 'aria-current', button.dataset.view === view && 'page');
    }
    byId('units').value = Bench.units;
  }

  // Asks once for all that was typed within a frame.
  function refresh() {
    show();
    byId(Bench.state.view).setAttribute('aria-busy', 'true');
    turn++;
    if (waits) return;
    waits = true;
    requestAnimationFrame(async () => {
      waits = false;
      const { view } = Bench.state;
      const place = byId(view);
      const own = turn;
      try {
        const answer = await Bench.ask(views[view].want(), { latest: true });
        if (!answer || Bench.state.view !== view) return;
        views[view].update(answer.reply, answer.parts);
        if (last) tell('');
        last = null;
        if (own === turn) place.removeAttribute('aria-busy');
      } catch (error) {
        last = error;
        tell(error.message);
      }
    });
  }

  function go(view) {
    StonesView.leave();
    tell('');
    Bench.show(view);
    byId('main').focus({ preventScroll: true });
    window.scrollTo(0, 0);
  }

  async function open(files) {
    const order = ({ name }) => ['bench', 'guide', 'settings', 'kit', 'job', 'measured', 'log'].findIndex((word) => name.includes(word));
    const told = [];
    for (const file of [...files].sort((a, b) => order(a) - order(b))) {
      const { reply } = await Bench.ask({ open: { name: file.name, text: await file.text() } });
      if (reply.refused) {
        told.push(...reply.refused);
        continue;
      }
      const { bench, form, what, faults } = reply.opened;
      Object.values(views).forEach((view) => view.forget());
      Bench.state.view = { guide: 'guide', 'known-settings': 'guide', blades: 'blades', block: 'block', measured: 'proof' }[form];
      Bench.replace(bench);
      told.push(`${file.name} is ${what}.`, ...faults);
    }
    tell(told.join(' '));
  }

  async function save() {
    const { reply, parts } = await Bench.ask('save');
    if (reply.files) Shown.download(parts[0]);
    tell(reply.files ? `${parts[0].name} is saved.` : reply.refused.join(' '));
  }

  async function begin() {
    try {
      const { reply, parts } = await Answerer.ask({ want: 'start' });
      Bench.begin(reply.start.bench);
      say(byId('version'), `Stopwright ${reply.start.version}`);
      for (const view of Object.values(views)) view.begin(reply.start, parts);
    } catch (error) {
      tell(error.message);
      return;
    }
    Bench.onChange(refresh);
    byId('units').addEventListener('change', ({ target }) => Bench.setUnits(target.value));
    for (const button of document.querySelectorAll('[data-view]')) button.addEventListener('click', () => go(button.dataset.view));
    byId('save').addEventListener('click', save);
    byId('open').addEventListener('click', () => byId('file').click());
    byId('file').addEventListener('change', async ({ target }) => {
      await open(target.files);
      target.value = '';
    });
    document.addEventListener('dragover', (event) => event.dataTransfer.types.includes('Files') && event.preventDefault());
    document.addEventListener('drop', (event) => {
      if (!event.dataTransfer.files.length) return;
      event.preventDefault();
      open(event.dataTransfer.files);
    });
    byId('notices').addEventListener('toggle', () => {
      Bench.ask('notices').then(({ reply }) => say(byId('licences'), reply.notices), ({ message }) => tell(message));
    });
    window.addEventListener('storage', ({ key, newValue }) => {
      if (key === Bench.KEY && newValue && !Bench.isOurs(newValue)) {
        tell('Another tab changed the bench that this browser keeps. What you typed here stays here; save it to be sure.');
      }
    });
    refresh();
  }

  begin();
})();
