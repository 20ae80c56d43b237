// Everything that is not on the first screen. It opens for an order, or for none.

import { picks, textLine } from "../controls.js";
import { button, group, heading, p, part } from "../dom.js";
import { courtName, courtOf, crewPick, placeName } from "../names.js";
import { backTo, goTo, show, tellAndShow } from "../screens.js";
import { helpAt } from "./safety.js";
import { atCourt, OPEN, orderOf } from "./order.js";
import { say } from "../words.js";

export const more = {
	draw(day, arg) {
		const order = orderOf(day, arg);
		return [
			heading(say("more")),
			group(
				goTo("incident", "incident-title", undefined, "bad"), goTo("lightning", "lightning-title", undefined, "bad"),
				goTo("alone", "alone-title"), goTo("people", "people-title"), goTo("tools", "tool-check"), goTo("courts", "courts-title"),
				goTo("outbox", "outbox-title"), goTo("who", "who-title")),
			order && part(placeName(order), group(
				OPEN.includes(order.state) && goTo("hand-over", "hand-over", order.id), goTo("note", "add-note", order.id))),
			backTo("now"),
		];
	},
};

export const handOver = {
	draw(day, arg) {
		const order = orderOf(day, arg);
		const crews = day.crews.filter((crew) => crew.id !== day.crew_id).sort((a, b) => b.on_shift - a.on_shift);
		return [
			heading(say("hand-over-title", { place: order ? placeName(order) : "" })),
			p(say("hand-over-text")),
			order && picks("crew", say("hand-over"), crews.map(crewPick), null,
				(crew_id) => tellAndShow({ kind: "hand_over", order_id: order.id, crew_id })),
			backTo("now"),
		];
	},
};

export const note = {
	begin: (day, arg) => (orderOf(day, arg) ? { text: "" } : null),

	draw(day, draft, change, arg) {
		const order = orderOf(day, arg);
		const give = () => draft.text.trim() && tellAndShow({ kind: "note", order_id: order.id, text: draft.text.trim() });
		return [
			heading(say("note-title", { place: order ? placeName(order) : "" })),
			textLine("text", say("in-own-words"), draft.text, (text) => change({ text }, true), 2000),
			order && button("give-note", say("tell-office"), give, { kind: "main" }),
			backTo("now"),
		];
	},
};

export const courts = {
	draw(day, arg) {
		const court = courtOf(day, Number(arg));
		return [
			heading(say("courts-title")),
			picks("court", say("courts-title"), day.courts.map((one) => [one.id, courtName(one)]), court?.id, (id) => show("courts", id)),
			court && part(courtName(court), group(atCourt(court.id)), helpAt(court)),
			backTo("more"),
		];
	},
};
