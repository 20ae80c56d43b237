// What a form is made of. Nothing here needs typing, holding or dragging.

import { button, h, notice, p, part } from "./dom.js";
import { dash } from "./names.js";
import { say } from "./words.js";

export const picks = (name, title, options, chosen, choose) => h("div", { class: "picks", role: "group", "aria-label": title },
	options.map(([value, label]) => button(name, label, () => choose(value), { value, pressed: value === chosen })));

export const tick = (name, value, label, ticked, toggle) => button(name, [
	h("span", { class: "box", "aria-hidden": "true" }, ticked ? "✓" : ""), h("span", {}, label),
], toggle, { value, kind: "tick", pressed: ticked });

// `of` says what it is, for those who do not see it.
export const stepper = (name, value, shown, of, move) => h("div", { class: "stepper" },
	button(`${name}-less`, "−", () => move(-1), { value, describe: say("less-of", { of }) }),
	h("output", { data: { of: name, value: String(value) } }, shown),
	button(`${name}-more`, "+", () => move(1), { value, describe: say("more-of", { of }) }));

export const textLine = (name, label, text, change, longest = 500) => h("label", { class: "typed" }, label, h("textarea", {
	name, rows: 2, maxlength: longest, oninput: ({ target }) => change(target.value),
}, text ?? ""));

export const deeds = (...buttons) => h("nav", { class: "deeds", "aria-label": say("deeds") }, ...buttons);

export const asked = (name, key, options, chosen, choose) => [p(say(key)), picks(name, say(key), options, chosen, choose)];

export const asks = (name, key, options, chosen, choose) => part(say(key), picks(name, say(key), options, chosen, choose));

export const noteLine = (draft, change) => textLine("note", say("in-own-words"), draft.note, (note) => change({ note }, true));

export function faultTexts({ code, detail, errors = [] }) {
	const texts = errors.length ? errors.map(textOf) : [textOf({ code, detail })];
	return [...new Set(texts)];
}

function textOf({ code, detail, values }) {
	const key = code && `fault-${dash(code)}`;
	const text = key && say(key, values);
	return !text || text === key ? detail || say("fault-other") : text;
}

export const faultsOf = (draft) => draft.faults?.length > 0 && notice("bad", draft.faults.map((text) => p(text)));
