// Making elements, in few words.

/**
 * An element. `props`: `on…` functions are listeners, `data` is an object of data attributes, `false` and `null` are
 * left out. Children may be elements, texts, lists of them, or nothing.
 */
export const h = (tag, props, ...children) => fill(document.createElement(tag), props, children);

/** The same for a drawing. */
export const svg = (tag, props, ...children) => (
  fill(document.createElementNS("http://www.w3.org/2000/svg", tag), props, children)
);

function fill(element, props, children) {
  for (const [name, value] of Object.entries(props ?? {})) {
    if (value === null || value === undefined || value === false) continue;
    if (typeof value === "function") element.addEventListener(name.slice(2), value);
    else if (name === "data") Object.assign(element.dataset, value);
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children.flat(Infinity).filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

/** The heading of a screen, which takes the focus when the screen opens. */
export const heading = (...text) => h("h1", { tabindex: "-1" }, ...text);

/**
 * A button. `name` becomes its data-do, `value` its data-value: tests and the focus find it by them. `kind` is a
 * class: `main`, `quiet`, `bad`, `row`. `pressed` makes it one that stays in.
 */
export const button = (name, label, act, { value, kind, pressed, expanded, describe } = {}) => h("button", {
  type: "button",
  class: kind,
  data: value === undefined ? { do: name } : { do: name, value: String(value) },
  "aria-pressed": pressed === undefined ? null : String(pressed),
  "aria-expanded": expanded === undefined ? null : String(expanded),
  "aria-label": describe,
  onclick: act,
}, label);

/** A box with something to heed: `bad`, `wait`, `good`, `water`. */
export const notice = (kind, ...children) => h("div", { class: `notice is-${kind}` }, ...children);

/** A part of a screen under a heading of its own. */
export const part = (title, ...children) => h("section", { class: "part" }, h("h2", {}, title), ...children);

/** Puts elements in a place; what stands there already stays, so that nothing is taken from under a finger. */
export function put(place, elements) {
  const wanted = elements.flat(Infinity).filter(Boolean);
  const there = [...place.childNodes];
  const same = there.length === wanted.length && wanted.every((one, at) => one.isEqualNode(there[at]));
  if (!same) place.replaceChildren(...wanted);
}
