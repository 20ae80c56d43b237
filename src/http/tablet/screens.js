// Which screen is shown. A form keeps what was tapped in it, also over a reload, until it is told or left.

import { view } from "./day.js";
import { keep, kept } from "./db.js";
import { button, notice, put, untouched } from "./dom.js";
import { say } from "./news.js";
import { put as keepTold } from "./outbox.js";
import { picturesMade } from "./pictures.js";
import { say as text } from "./words.js";

// What somebody began an hour ago is not what the next one means.
const FORGETS_AFTER = 3_600_000;

const screens = {};
let current = { name: null, arg: "" };
let draft = null;
const telling = new Set();

const main = () => document.getElementById("screen");
const draftName = (name, arg) => `form ${name} ${arg}`;

export const register = (more) => Object.assign(screens, more);

export const formIsOpen = () => draft !== null || telling.size > 0;

export const shownScreen = () => current.name;

export async function show(name, arg = "") {
	const hash = `#/${name}${arg === "" ? "" : `/${arg}`}`;
	if (location.hash !== hash) history.pushState(null, "", hash);
	await open(name, String(arg));
}

export async function showAddressed(fallback) {
	const [, name, arg = ""] = location.hash.split("/");
	await open(screens[name] ? name : fallback, arg);
}

export async function leave() {
	if (draft) await keep(draftName(current.name, current.arg), undefined);
	draft = null;
	await show("now");
}

async function open(name, arg) {
	const screen = screens[name];
	let begun = null;
	if (screen.begin) {
		const half = await kept(draftName(name, arg));
		begun = half && Date.now() - half.kept_at < FORGETS_AFTER ? half : screen.begin(view(), arg);
		if (!begun) return show("now");
	}
	picturesMade();
	draft = begun;
	current = { name, arg };
	main().dataset.screen = name;
	draw();
	main().querySelector("h1")?.focus({ preventScroll: true });
	scrollTo(0, 0);
	return say("screen");
}

export function draw() {
	const screen = screens[current.name];
	if (!screen) return;
	const held = document.activeElement?.closest("#screen [data-do], #screen h1");
	const elements = draft ? screen.draw(view(), draft, changeOf(draft), current.arg) : screen.draw(view(), current.arg);
	// A form's buttons act on what the form holds now: they are always new.
	if (draft) main().replaceChildren();
	put(main(), [elements]);
	if (held) again(held)?.focus({ preventScroll: true });
}

export async function drawLiving() {
	await untouched();
	if (!draft) draw();
}

function again(held) {
	if (held.matches("h1")) return main().querySelector("h1");
	const { do: name, value } = held.dataset;
	const same = [...main().querySelectorAll(`[data-do="${name}"]`)];
	return same.find((one) => one.dataset.value === value) ?? same[0];
}

// What comes late, as a photo may, changes only the form in which it was asked for.
const changeOf = (form) => (changes, typed = false) => {
	if (draft !== form) return;
	Object.assign(draft, changes, { kept_at: Date.now() });
	keep(draftName(current.name, current.arg), draft);
	if (!typed) draw();
};

// Once however fast it is tapped; answers the key, or null where it could not be kept.
export async function tell(happening) {
	const deed = draft ?? JSON.stringify(happening);
	if (telling.has(deed)) return null;
	telling.add(deed);
	const form = draft;
	try {
		if (form?.pictures) await picturesMade();
		const key = await keepTold(happening, form
			? { draft: draftName(current.name, current.arg), mends: form.mends, at: form.at, pictures: form.pictures } : {});
		draft = null;
		return key;
	} catch {
		main().prepend(notice("bad", text("could-not-keep")));
		scrollTo(0, 0);
		return null;
	} finally {
		telling.delete(deed);
	}
}

export const tellAndShow = async (happening, name = "now") => await tell(happening) && show(name);

export async function showFilled(name, arg, filled) {
	await keep(draftName(name, String(arg)), { ...filled, kept_at: Date.now() });
	await show(name, arg);
}

export const goTo = (name, key, arg, kind) => button(name, text(key), () => show(name, arg), { value: arg, kind });
export const tells = (name, key, happening, kind = "main", value = undefined) => (
	button(name, text(key), () => tellAndShow(happening()), { kind, value }));

export const leaveButton = (key = "back") => button("leave", text(key), leave, { kind: "quiet" });

export const backTo = (name) => button(name, text(name === "now" ? "back-to-now" : "back"), () => show(name), { kind: "quiet" });
