'use strict';
// Elements, made without markup: what comes from files or answers is always text.

const Dom = (() => {
  // An element with attributes, and children: elements or text; `on` has handlers.
  function el(tag, attributes = {}, ...children) {
    const made = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) {
      if (name === 'on') for (const [event, act] of Object.entries(value)) made.addEventListener(event, act);
      else if (value === true) made.setAttribute(name, '');
      else if (value !== false && value !== null && value !== undefined) made.setAttribute(name, value);
    }
    made.append(...children.flat(Infinity).filter((child) => child || child === 0));
    return made;
  }

  // Sets text only where it differs, so that nothing is read out again.
  function say(element, text) {
    if (element.textContent !== text) element.textContent = text;
    element.hidden = text === '';
  }

  // Puts children in an order, moving none without need: moved fields lose the cursor.
  function order(parent, children) {
    let at = parent.firstElementChild;
    for (const child of children) {
      if (child === at) at = at.nextElementSibling;
      else parent.insertBefore(child, at);
    }
    while (at) {
      const next = at.nextElementSibling;
      at.remove();
      at = next;
    }
  }

  // A button; of class `main` is the one that most will press.
  const button = (text, act, className = null) => el('button', { type: 'button', class: className, on: act ? { click: act } : {} }, text);

  // Gives an attribute its value, or takes it away.
  function attribute(element, name, value) {
    if (value) element.setAttribute(name, value);
    else element.removeAttribute(name);
  }

  // Fills an element only where what is `said` changed.
  function renew(element, said, make) {
    if (element.dataset.said === said) return;
    element.dataset.said = said;
    element.replaceChildren(...make());
  }

  // Radio buttons of a name: `act` hears of the chosen one; gives what chooses one.
  function radios(name, act) {
    for (const input of document.getElementsByName(name)) input.addEventListener('change', () => act(input.value));
    return (value) => {
      for (const input of document.getElementsByName(name)) input.checked = input.value === value;
    };
  }

  const byId = (id) => document.getElementById(id);

  return { el, say, order, button, attribute, renew, radios, byId };
})();
