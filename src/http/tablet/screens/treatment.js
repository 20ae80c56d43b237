// A chemical that was put on, where a step that takes one was done.

import { asked, stepper, textLine } from "../controls.js";
import { h, p, part } from "../dom.js";
import { personName } from "../names.js";
import { amount, isUs, tapOf, wind } from "../shown.js";
import { say } from "../words.js";

const PLACES = ["whole", "north", "south", "edges", "spots"];

export const needsTreatment = (order, done) => order.steps.some((step) => step.labels?.length && done.includes(step.position));

const labelOf = (order, done) => order.steps.find((step) => step.labels?.length && done.includes(step.position)).labels[0];

export function treatmentForm(day, order, draft, change) {
	const label = labelOf(order, draft.done);
	const planned = order.materials.find((material) => material.code === label.code);
	const unit = planned?.unit === "millilitre" ? "millilitre" : "gram";
	const told = { product: label.name, unit, amount: planned?.quantity ?? tapOf({ unit }), ...draft.treatment };
	const set = (changes, typed) => {
		draft.treatment = { ...draft.treatment, ...changes };
		change({}, typed);
	};
	draft.treatment = told;
	const people = draft.people.filter((person) => person.on).map(({ id }) => [id, personName(day, id)]);
	const places = PLACES.map((name) => say(`place-${name}`)).map((words) => [words, words]);
	// In steps of 2 mph or 1 m/s.
	const winds = [0, 1, 2, 3, 4, 5, 6].map((step) => Math.round(step * (isUs() ? 894.08 : 1000))).map((mmps) => [mmps, wind(mmps)]);
	return part(say("treatment"), p(told.product),
		h("div", { class: "row-pair" }, h("span", {}, say("treatment-amount")), stepper("amount", told.amount, amount(told.amount, told.unit),
			told.product, (by) => set({ amount: Math.max(1, told.amount + by * tapOf(told)) }))),
		asked("treatment-person", "treatment-who", people, told.person_id, (person_id) => set({ person_id })),
		asked("treatment-place", "treatment-where", places, told.place, (place) => set({ place })),
		asked("treatment-wind", "treatment-wind", winds, told.wind_mmps, (wind_mmps) => set({ wind_mmps })),
		textLine("lot", say("treatment-lot"), told.lot, (lot) => set({ lot }, true), 120));
}

export function missingOf(told) {
	const missing = [
		!told?.person_id && "treatment-who", !told?.place && "treatment-where",
		told?.wind_mmps === undefined && "treatment-wind", !told?.lot?.trim() && "treatment-lot",
	].filter(Boolean);
	return missing.length ? say("treatment-missing", { what: missing.map((key) => say(key)).join(", ") }) : null;
}

export const treatmentsTold = ({ person_id, product, lot, amount: much, unit, place, wind_mmps }) => [
	{ person_id, product, lot: lot.trim(), amount: much, unit, place, wind_mmps },
];
