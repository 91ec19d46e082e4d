'use strict';
// Forms of an answer's fields: label, input, hint, what is wrong. While answers come in only words around inputs change.

const Fields = (() => {
  const { el, say, order, button, attribute, renew } = Dom;
  let count = 0;

  const isLength = (field) => ['number', 'readings', 'two', 'one-or-two'].includes(field.input);
  // Inches are typed as fractions, and several numbers with signs between them; both need all keys.
  const keys = (field) => (isLength(field) && (field.unit === 'mm' || field.unit === '') ? 'decimal' : 'text');

  // Two fields of one shape have the same inputs.
  const shapeOf = (field) => JSON.stringify([field.input, field.choices, keys(field)]);

  function textInput(field, id, write) {
    return el('input', {
      id, type: 'text', inputmode: keys(field), autocapitalize: 'off', spellcheck: 'false',
      on: { input: write },
    });
  }

  function one(field, id, typed) {
    const input = textInput(field, id, () => typed(input.value));
    return { root: input, first: input, set: (text) => { input.value = text; }, all: () => [input] };
  }

  // Several texts with semicolons between them: readings of one length, two lengths, left and right.
  function several(field, id, typed) {
    const names = { two: ['first', 'second'], 'one-or-two': ['left', 'right'] }[field.input];
    const row = el('span', { class: 'parts' });
    const inputs = [];
    const write = () => {
      const parts = inputs.map((input) => input.value.trim());
      while (parts.length && parts[parts.length - 1] === '') parts.pop();
      typed(parts.join('; '));
    };
    const add = (value = '') => {
      const i = inputs.length;
      const input = textInput(field, i === 0 ? id : `${id}-${i}`, write);
      input.setAttribute('aria-label', names ? `${field.what} ${names[i]}` : `${field.what} reading ${i + 1}`);
      input.value = value;
      inputs.push(input);
      row.insertBefore(input, more);
      return input;
    };
    const more = button('Read it again', () => add().focus(), 'small');
    row.append(more);
    more.hidden = Boolean(names);
    (names ?? [1]).forEach(() => add());
    const set = (text) => {
      const parts = text.split(/;| [x×] /).map((part) => part.trim());
      while (inputs.length < parts.length && !names) add();
      inputs.forEach((input, i) => { input.value = parts[i] ?? ''; });
    };
    return { root: row, first: inputs[0], set, all: () => inputs };
  }

  // A word of files as people write it.
  const spaced = (word) => (/^[a-z-]+$/.test(word) ? word.replaceAll('-', ' ') : word);

  // One of some words, or some: as buttons, or one of many as a list.
  function choice(field, id, typed) {
    const some = field.input === 'several';
    const words = field.input === 'yes-no' ? [{ word: 'yes' }, { word: 'no' }] : field.choices;
    if (words.length > 4 && !some) {
      const select = el('select', { id, on: { change: () => typed(select.value) } },
        el('option', { value: '' }, field.otherwise ? `As usual: ${spaced(field.otherwise)}` : 'Choose'),
        words.map(({ word, meaning }) => el('option', { value: word }, spaced(word) + (meaning && `: ${meaning}`))));
      return { root: select, first: select, set: (text) => { select.value = text; }, all: () => [select], saysElse: true };
    }
    const inputs = [];
    const write = () => typed(inputs.filter((input) => input.checked).map((input) => input.value).join(', '));
    const label = ({ word, meaning }, i) => {
      inputs.push(el('input', { type: some ? 'checkbox' : 'radio', name: id, value: word, id: i ? `${id}-${i}` : id, on: { change: write } }));
      return el('label', {}, inputs[i], el('span', {}, el('strong', {}, spaced(word)), meaning && ` ${meaning}`));
    };
    const root = el('div', { class: 'choices', role: some ? 'group' : 'radiogroup' }, words.map(label));
    const set = (text) => {
      const chosen = (text || (some ? '' : field.otherwise) || '').split(',').map((word) => word.trim());
      inputs.forEach((input) => { input.checked = chosen.includes(input.value); });
    };
    return { root, first: inputs[0], set, all: () => inputs, isGroup: true, saysElse: !some };
  }

  const makers = {
    choice, 'yes-no': choice, several: choice, readings: several, two: several, 'one-or-two': several,
  };

  // A field that can be shown again with what is said of it now.
  function control(form, field, picture) {
    const id = `f${++count}`;
    const shape = shapeOf(field);
    const typed = (text) => Bench.type(form, field.key, text);
    const input = (makers[field.input] ?? one)(field, id, typed);
    const label = el(input.isGroup ? 'span' : 'label', input.isGroup ? { id: `${id}-label`, class: 'label' } : { for: id });
    const unit = el('span', { class: 'unit', 'aria-hidden': 'true' });
    const how = el('p', { class: 'hint', id: `${id}-how` });
    const otherwise = el('p', { class: 'hint', id: `${id}-else` });
    const advised = el('ul', { class: 'advised' });
    const refused = el('p', { class: 'refused', id: `${id}-refused`, role: 'alert' });
    const noticed = el('p', { class: 'noticed', id: `${id}-noticed` });
    const words = el('div', { class: 'words' }, label, how, advised,
      el('div', { class: 'entry' }, input.root, unit), otherwise, refused, noticed);
    const root = el('div', { class: picture ? 'field pictured' : 'field' }, picture, words);
    if (input.isGroup) input.root.setAttribute('aria-labelledby', `${id}-label`);
    let shown = null;
    const update = (now) => {
      say(label, now.what);
      say(unit, input.isGroup ? '' : now.unit);
      say(how, [now.how, now.range].filter(Boolean).join(' '));
      const advice = (now.advised ?? []).map(({ word, meaning }) => `${word}: ${meaning}`);
      renew(advised, advice.join('\n'), () => advice.map((line) => el('li', {}, line)));
      advised.hidden = advice.length === 0;
      const text = Bench.typed(form)[now.key] ?? '';
      const says = input.saysElse && (now.choices.length === 0 || now.choices.some(({ word }) => word === now.otherwise));
      const empty = says || (text && !now.refused) ? '' : now.otherwise !== null ? `If left empty: ${spaced(now.otherwise)}.` : now.need && `${now['may-be-left-out'] ? 'May be left empty' : 'Needed'}: ${now.need}.`;
      say(otherwise, empty || '');
      say(refused, now.refused ?? '');
      say(noticed, now.noticed.join(' '));
      root.classList.toggle('wrong', Boolean(now.refused));
      const described = [how, otherwise, refused, noticed].filter((part) => !part.hidden).map((part) => part.id).join(' ');
      for (const each of input.isGroup ? [input.root] : input.all()) {
        attribute(each, 'aria-describedby', described);
        attribute(each, 'aria-invalid', now.refused && 'true');
      }
      for (const each of input.all()) attribute(each, 'aria-required', !now['may-be-left-out'] && 'true');
      // What somebody types is theirs: it is set only from elsewhere, or at first.
      const isTyping = root.contains(document.activeElement) && !input.isGroup;
      if (shown === null || (!isTyping && shown !== text)) input.set(text);
      shown = text;
    };
    return { root, shape, update, focus: () => input.first.focus() };
  }

  // The item of a list that a key belongs to.
  function item(key) {
    const found = /^([a-z]+)\.(\d+)\.(.+)$/.exec(key);
    return found && { list: found[1], index: Number(found[2]), field: found[3] };
  }

  // A form in an element: `shows` tells which fields it has, `needed` which stand first, `picture` makes a picture for one.
  function form(element, name, { shows = () => true, needed = () => true, picture = () => null, more = 'More' } = {}) {
    const controls = new Map();
    const first = el('div', { class: 'fields' });
    const rest = el('div', { class: 'fields' });
    const details = el('details', {}, el('summary', {}, more), rest);
    const faults = el('div', { class: 'faults', role: 'alert' });
    element.append(first, details, faults);
    element.addEventListener('submit', (event) => event.preventDefault());
    const rowElements = new Map();

    const controlOf = (field) => {
      let own = controls.get(field.key);
      if (!own || own.shape !== shapeOf(field)) {
        own = control(name, field, picture(field));
        controls.set(field.key, own);
      }
      own.update(field);
      return own.root;
    };

    const rowOf = (list, index, count) => {
      const key = `${list}.${index}`;
      if (!rowElements.has(key)) {
        const body = el('div', { class: 'fields' });
        const detail = el('details', {}, el('summary', {}, 'More'), el('div', { class: 'fields' }));
        const remove = button('Remove', null, 'small');
        const legend = el('legend', {}, String(index + 1));
        rowElements.set(key, { root: el('fieldset', { class: 'row' }, legend, body, detail, remove), body, detail, remove });
      }
      const row = rowElements.get(key);
      row.remove.setAttribute('aria-label', `Remove ${index + 1}`);
      row.remove.hidden = count < 2;
      row.remove.onclick = () => {
        Bench.removeRow(name, list, index, count);
        // What was typed is another row's now.
        for (const [own] of controls) if (own.startsWith(`${list}.`)) controls.delete(own);
      };
      return row;
    };

    return {
      update(formed) {
        const fields = formed.fields.filter(shows);
        const flow = [];
        const others = [];
        const items = new Map();
        for (const field of fields) {
          const at = item(field.key);
          if (!at) {
            if (needed(field)) flow.push(controlOf(field));
            else others.push(field);
            continue;
          }
          const key = `${at.list}.${at.index}`;
          if (!items.has(key)) {
            items.set(key, { ...at, fields: [] });
            flow.push(key);
          }
          items.get(key).fields.push(field);
        }
        order(rest, others.map(controlOf));
        details.hidden = others.length === 0;
        if (others.some((field) => field.refused)) details.open = true;
        const all = [...items.values()];
        order(first, flow.flatMap((key) => (typeof key === 'string' ? rowElement(items.get(key), all) : key)));
        renew(faults, formed.faults.join('\n'), () => formed.faults.map((fault) => el('p', {}, fault)));
      },
      forget() { controls.clear(); rowElements.clear(); },
    };

    // The fields of one item: in a frame of its own where items can be added and taken away.
    function rowElement({ list, index, fields }, all) {
      const own = fields.filter((field) => field.input !== 'another');
      const another = fields.find((field) => field.input === 'another');
      const count = all.filter((other) => other.list === list).length;
      if (!another && count > 1 && !all.some((other) => other.list === list && other.fields.some(({ input }) => input === 'another'))) {
        return own.map(controlOf);
      }
      const row = rowOf(list, index, count);
      const isFirst = (field) => !field['may-be-left-out'] || needed(field);
      order(row.body, own.filter(isFirst).map(controlOf));
      const less = own.filter((field) => !isFirst(field));
      order(row.detail.lastElementChild, less.map(controlOf));
      row.detail.hidden = less.length === 0;
      if (less.some((field) => field.refused)) row.detail.open = true;
      const goesOn = another && (Bench.typed(name)[another.key] || another.otherwise) === 'yes';
      return another && !goesOn ? [row.root, adder(another)] : [row.root];
    }

    function adder(field) {
      const key = `add ${field.key}`;
      if (!rowElements.has(key)) {
        const add = button(field.what.replace(/\?$/, ''), () => Bench.type(name, field.key, 'yes'));
        rowElements.set(key, { root: el('p', { class: 'adder' }, add) });
      }
      return rowElements.get(key).root;
    }
  }

  return { form };
})();
