'use strict';
// What answers show: pictures, tables, sentences, files.

const Shown = (() => {
  const { el } = Dom;

  const blobUrl = ({ media, bytes }) => URL.createObjectURL(new Blob([bytes], { type: media }));

  // A picture whose last one goes away only when the next is there, so that nothing flickers.
  function picture(className = '') {
    const image = el('img', { class: className, alt: '', decoding: 'sync' });
    const frame = el('figure', { class: 'picture' }, image);
    frame.hidden = true;
    const enlarge = el('a', { class: 'enlarge', target: '_blank', rel: 'noopener' }, 'Larger');
    frame.append(enlarge);
    let url = null;
    return {
      root: frame,
      update(shown, parts) {
        frame.hidden = !shown;
        if (!shown) return;
        const last = url;
        url = blobUrl(parts[shown.part]);
        image.src = url;
        enlarge.href = url;
        image.alt = shown.title;
        image.width = Math.round(shown.size[0] * 4);
        image.height = Math.round(shown.size[1] * 4);
        if (last) setTimeout(() => URL.revokeObjectURL(last), 1000);
      },
    };
  }

  function pictures(parent) {
    const all = [];
    return (shown, parts) => {
      while (all.length < shown.length) {
        all.push(picture());
        parent.append(all[all.length - 1].root);
      }
      all.forEach((each, i) => each.update(shown[i] ?? null, parts));
    };
  }

  const isNumber = (text) => /^[±+−-]?[\d.]+( ?[%°]| mm| in)?$/.test(text);

  // A table; `press` is called with a row's place where rows can be chosen, `under` gives elements below a row.
  function table(shown, { press = null, chosen = -1, under = () => [] } = {}) {
    const head = shown.head.map(([name, unit]) =>
      el('th', { scope: 'col' }, name, unit && el('span', { class: 'unit' }, unit)));
    const row = (cells, i) => {
      const first = press
        ? el('button', { type: 'button', class: 'row-name', 'aria-pressed': String(i === chosen), on: { click: () => press(i) } }, cells[0])
        : cells[0];
      const rest = cells.slice(1).map((cell) => el('td', { class: isNumber(cell) ? 'number' : null }, cell));
      const below = under(i);
      return [
        el('tr', { class: i === chosen ? 'chosen' : null }, el('th', { scope: 'row' }, first), rest),
        ...(below.length ? [el('tr', { class: 'below' }, el('td', { colspan: cells.length }, below))] : []),
      ];
    };
    return el('div', { class: 'table' }, el('p', { class: 'hint' }, shown.caption),
      el('div', { class: 'wide', tabindex: '0', role: 'group', 'aria-label': shown.caption },
        el('table', {}, el('thead', {}, el('tr', {}, head)), el('tbody', {}, shown.rows.map(row)))));
  }

  const sentences = (lines, className = 'note') => lines.map((line) => el('p', { class: className }, line));

  function fill(element, ...children) {
    element.replaceChildren(...children.flat().filter(Boolean));
  }

  // Gives a file to the browser, which saves it under its name.
  function download(part) {
    const url = blobUrl(part);
    const link = el('a', { href: url, download: part.name });
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(url), 60000);
  }

  return { blobUrl, picture, pictures, table, sentences, fill, download };
})();
