// `on…` props are listeners, `data` an object of data attributes; `false` and `null` are left out.
export const h = (tag, props, ...children) => fill(document.createElement(tag), props, children);

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

export const heading = (...text) => h("h1", { tabindex: "-1" }, ...text);

export const button = (name, label, act, { value, kind, pressed, expanded, describe } = {}) => h("button", {
	type: "button",
	class: kind,
	data: value === undefined ? { do: name } : { do: name, value: String(value) },
	"aria-pressed": pressed === undefined ? null : String(pressed),
	"aria-expanded": expanded === undefined ? null : String(expanded),
	"aria-label": describe,
	onclick: act,
}, label);

export const notice = (kind, ...children) => h("div", { class: `notice is-${kind}` }, ...children);

export const part = (title, ...children) => h("section", { class: "part" }, h("h2", {}, title), ...children);

// What stands there already stays, so that nothing is taken from under a finger.
export function put(place, elements) {
	const wanted = elements.flat(Infinity).filter(Boolean);
	const there = [...place.childNodes];
	const same = there.length === wanted.length && wanted.every((one, at) => one.isEqualNode(there[at]));
	if (!same) place.replaceChildren(...wanted);
}

export const p = (...children) => h("p", {}, ...children);
export const soft = (...children) => h("p", { class: "soft" }, ...children);
export const strong = (...children) => h("strong", {}, ...children);
export const group = (...children) => h("div", { class: "picks" }, ...children);

// A button that is drawn anew under a finger would lose its tap: what draws by itself waits until none is down.
let down = false;
const waiting = [];

addEventListener("pointerdown", () => { down = true; }, true);
for (const end of ["pointerup", "pointercancel"]) addEventListener(end, () => setTimeout(lifted), true);

function lifted() {
	down = false;
	waiting.splice(0).forEach((go) => go());
}

export const untouched = () => (down ? new Promise((go) => { waiting.push(go); }) : Promise.resolve());
