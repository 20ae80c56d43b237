// A chemical that was put on: what the office must be told of it where a step that takes one was done.

import { picks, stepper, textLine } from "../controls.js";
import { h, p, part } from "../dom.js";
import { personName } from "../names.js";
import { amount, isUs, tapOf, wind } from "../shown.js";
import { say } from "../words.js";

const PLACES = ["whole", "north", "south", "edges", "spots"];
// In steps of 2 mph or 1 m/s.
const winds = () => [0, 1, 2, 3, 4, 5, 6].map((step) => Math.round(step * (isUs() ? 2 * 447.04 : 1000)));

export const needsTreatment = (order, done) => order.steps.some((step) => step.labels?.length && done.includes(step.position));

const labelOf = (order, done) => order.steps.find((step) => step.labels?.length && done.includes(step.position)).labels[0];

export function treatmentForm(day, order, draft, change) {
	const label = labelOf(order, draft.done);
	const planned = order.materials.find((material) => material.code === label.code);
	const unit = planned?.unit === "millilitre" ? "millilitre" : "gram";
	const told = { product: label.name, unit, amount: planned?.quantity ?? tapOf({ unit }), ...draft.treatment };
	const set = (changes, typed) => {
		draft.treatment = { ...told, ...changes };
		change({}, typed);
	};
	draft.treatment = told;
	const people = draft.people.filter((person) => person.on).map(({ id }) => [id, personName(day, id)]);
	return part(say("treatment"), p(told.product),
		h("div", { class: "row-pair" }, h("span", {}, say("treatment-amount")), stepper("amount", told.amount, amount(told.amount, told.unit),
			told.product, (by) => set({ amount: Math.max(1, told.amount + by * tapOf(told)) }))),
		p(say("treatment-who")), picks("treatment-person", say("treatment-who"), people, told.person_id, (person_id) => set({ person_id })),
		p(say("treatment-where")), picks("treatment-place", say("treatment-where"),
			PLACES.map((name) => [say(`place-${name}`), say(`place-${name}`)]), told.place, (place) => set({ place })),
		p(say("treatment-wind")), picks("treatment-wind", say("treatment-wind"),
			winds().map((wind_mmps) => [wind_mmps, wind(wind_mmps)]), told.wind_mmps, (wind_mmps) => set({ wind_mmps })),
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
