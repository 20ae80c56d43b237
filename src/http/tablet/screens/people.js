// The crew's clocks: in, break, back, out for each; and who joins or leaves the crew today.

import { button, group, h, heading, p, part, strong } from "../dom.js";
import { crewName, dash } from "../names.js";
import { backTo, tell } from "../screens.js";
import { time, when } from "../shown.js";
import { say } from "../words.js";

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
