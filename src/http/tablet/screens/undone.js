// Leaving an order undone: why, and what was done all the same.

import { asks, deeds, faultsOf, noteLine } from "../controls.js";
import { heading, p } from "../dom.js";
import { placeName, wordPicks } from "../names.js";
import { leaveButton, tells } from "../screens.js";
import { OPEN, orderOf } from "./order.js";
import { asTold, peopleRows, proposed, stepRows, toldBefore } from "./work.js";
import { say } from "../words.js";

const REASONS = ["court_in_play", "weather", "no_tool", "no_water", "no_time", "unsafe", "other"];

export const undone = {
	begin(day, arg) {
		const order = orderOf(day, arg);
		if (!order || !OPEN.includes(order.state)) return null;
		const draft = proposed(day, order);
		// Nothing was taken, and nobody worked on what was never begun.
		return { ...draft, materials: [], people: draft.people.map((person) => ({ ...person, on: order.state === "under_way" })), reason: null };
	},

	draw(day, draft, change, arg) {
		const order = orderOf(day, arg);
		if (!order) return [heading(say("order-gone")), leaveButton()];
		const told = () => ({
			kind: "leave_undone", order_id: order.id, reason: draft.reason, ...asTold(draft), note: noteOf(draft),
		});
		return [
			heading(say("undone-title", { place: placeName(order) })),
			faultsOf(draft),
			asks("reason", "why", wordPicks("undone", REASONS), draft.reason,
				(reason) => change({ reason })),
			draft.reason && [
				noteLine(draft, change),
				p(say("done-all-the-same")),
				stepRows(order, draft, change),
				peopleRows(day, draft, change),
			],
			deeds(draft.reason && tells("give-undone", "give-undone", told),
				leaveButton()),
		];
	},
};

export const undoneFilled = (told) => ({ ...toldBefore(told), reason: told.reason, note: told.note });

// Where somebody picked "other" and typed nothing, at least that word.
export const noteOf = ({ note, reason }) => note?.trim() || (reason === "other" ? say(reason) : undefined);
