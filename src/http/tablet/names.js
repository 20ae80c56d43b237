// What things are called: by the site's own word, else the trade's in the person's language, else as the site typed it.

import { view } from "./day.js";
import { ownPicture } from "./own.js";
import { has, language, say } from "./words.js";

export const dash = (code) => code.replaceAll("_", "-");

function siteWord(kind, subject) {
	const base = language().split("-")[0];
	return view()?.site_words.find((word) => (
		word.subject_kind === kind && word.subject === String(subject) && word.language.split("-")[0] === base
	))?.words;
}

export function taskName({ code, name }) {
	const key = `task-${dash(code)}`;
	return siteWord("care_task", code) ?? (!language().startsWith("en") && has(key) ? say(key) : name);
}

export const className = ({ class: code, class_name }) => siteWord("tool_class", code) ?? class_name;

export const materialName = ({ code, name }) => siteWord("material", code) ?? name;

export const courtName = (court) => siteWord("court", court.id) ?? court.name;

export function placeName(order) {
	const own = order.court_id && !order.valve && siteWord("court", order.court_id);
	return own || order.place;
}

export function wordOf(list, code) {
	const own = siteWord("reason", code);
	const key = code === "other" ? code : `${list}-${dash(code)}`;
	const text = own ?? say(key);
	return text === key ? code.replaceAll("_", " ") : text;
}

export const courtOf = (day, id) => day.courts.find((court) => court.id === id);
export const personName = (day, id) => day.people.find((person) => person.id === id)?.name ?? say("somebody");
export const crewName = (day) => day?.crews.find((crew) => crew.id === day.crew_id)?.name ?? "";

export const crewPick = ({ id, name, on_shift }) => [id, on_shift ? name : say("not-on-shift", { crew: name })];

export const wordPicks = (list, codes) => codes.map((code) => [code, [ownPicture("reason", code), wordOf(list, code)]]);
