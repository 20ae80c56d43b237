// What a form is made of: picks, ticks and steppers. Nothing here needs typing, holding or dragging.

import { button, h } from "./dom.js";
import { say } from "./words.js";

/** One of several: a group of buttons, each `[value, label]`. */
export const picks = (name, title, options, chosen, choose) => h("div", { class: "picks", role: "group", "aria-label": title },
  options.map(([value, label]) => button(name, label, () => choose(value), { value, pressed: value === chosen })));

/** One thing that is ticked or not. */
export const tick = (name, value, label, ticked, toggle) => button(name, [
  h("span", { class: "box", "aria-hidden": "true" }, ticked ? "✓" : ""), h("span", {}, label),
], toggle, { value, kind: "tick", pressed: ticked });

/** An amount with less and more; `move(-1)` and `move(1)`. `of` says what it is, for those who do not see it. */
export const stepper = (name, value, shown, of, move) => h("div", { class: "stepper" },
  button(`${name}-less`, "−", () => move(-1), { value, describe: say("less-of", { of }) }),
  h("output", { data: { of: name, value: String(value) } }, shown),
  button(`${name}-more`, "+", () => move(1), { value, describe: say("more-of", { of }) }));

/** A line of text that may be typed; nothing needs it but what says so. */
export const textLine = (name, label, text, change, longest = 500) => h("label", { class: "typed" }, label, h("textarea", {
  name, rows: 2, maxlength: longest, oninput: ({ target }) => change(target.value),
}, text ?? ""));
