// Which crew, who holds the tablet, and the clocks of the crew.

import { link } from "../api.js";
import { asks } from "../controls.js";
import { refresh, sites, takeUp, view } from "../day.js";
import { button, group, h, heading, notice, p, part, strong } from "../dom.js";
import { become, me } from "../me.js";
import { crewName, crewPick, dash } from "../names.js";
import { heldBy, speakTo } from "../person.js";
import { backTo, draw, show, tell } from "../screens.js";
import { time, when } from "../shown.js";
import { known, language, ownName, say } from "../words.js";

let offered = null;
let failed = false;

export async function askSites() {
	offered = (await sites()) ?? offered;
	if (!me.site_id && offered?.length === 1) await atSite(offered[0].id);
}

const atSite = (site_id) => turn({ site_id, crew_id: null, person_id: null });

const inCrew = (crew_id) => turn({ crew_id, person_id: null });

// Stays where it was when the other day cannot be had.
async function turn(changes) {
	const before = { ...me };
	await become(changes);
	await takeUp();
	await refresh();
	failed = !view() && before.site_id !== null;
	if (failed) {
		await become(before);
		await takeUp();
	} else navigator.storage?.persist?.();
	draw();
}

export const who = {
	draw(day) {
		return [
			heading(say("who-title")),
			failed && notice("wait", say("who-needs-signal")),
			!day && notice("wait", say(link.state === "sign-in" ? "who-sign-in" : "who-needs-signal"), button("again", say("try-again"), async () => {
				await askSites();
				await refresh();
				draw();
			})),
			offered && (offered.length > 1 || offered[0]?.id !== me.site_id) && asks("site", "which-site",
				offered.map((site) => [site.id, site.name]), me.site_id, atSite),
			day && asks("crew", "which-crew", day.crews.map(crewPick), me.crew_id, inCrew),
			day && me.crew_id && holders(day),
			asks("language", "language", known().map((tag) => [tag, ownName(tag)]), language(), speakTo),
			day && me.crew_id && backTo("now"),
		];
	},
};

function holders(day) {
	const people = [...day.people].sort((a, b) => b.in_crew - a.in_crew);
	return part(say("who-holds"), group(people.map((person) => button("person", person.name, async () => {
		await heldBy(person.id);
		await show("now");
	}, { value: person.id, pressed: person.id === me.person_id }))));
}

const NEXT = { none: ["in"], in: ["break_start", "out"], break_start: ["break_end"], break_end: ["break_start", "out"], out: ["in"] };

export const people = {
	draw(day) {
		const crew = day.people.filter((person) => person.in_crew);
		const others = day.people.filter((person) => !person.in_crew);
		return [
			heading(say("clocks-title", { crew: crewName(day) })),
			day.shift && p(say("shift", { from: time(day.shift.starts_at), to: time(day.shift.ends_at) })),
			h("ul", { class: "clocks" }, crew.map((person) => clock(day, person))),
			day.shift && others.length > 0 && part(say("joins-crew"), group(others.map((person) => (
				button("joins", `+ ${person.name}`, () => change(day, person, true), { value: person.id }))))),
			backTo("more"),
		];
	},
};

function clock(day, person) {
	const last = person.clock?.event ?? "none";
	return h("li", { data: { person: person.id, clock: last } },
		p(strong(person.name), " ", h("span", { class: "soft" }, person.clock
			? say(`clock-is-${dash(last)}`, { time: when(person.clock.at) }) : say("clock-is-none"))),
		group(
			NEXT[last].map((event) => button(`clock-${dash(event)}`, say(`clock-${dash(event)}`), () => tell({
				kind: "attendance", person_id: person.id, event }), { value: person.id, kind: "main" })),
			day.shift && button("leaves", say("leaves-crew"), () => change(day, person, false), { value: person.id, kind: "quiet" })));
}

const change = (day, person, joins) => tell({ kind: "crew_change", shift_id: day.shift.id, person_id: person.id, joins });
