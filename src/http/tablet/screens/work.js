// What a crew tells of its work: steps, people with their minutes, materials.

import { officeNow } from "../clock.js";
import { picks, stepper, tick } from "../controls.js";
import { button, h, part } from "../dom.js";
import { dash, materialName, personName, taskName } from "../names.js";
import { amount, minutes, tapOf } from "../shown.js";
import { say } from "../words.js";

// Nobody ticks these with all the others.
const LOOKED_AT = ["look_over", "lower_net", "net_and_strap"];
const LONGEST_MIN = 960;
const A_TAP_MIN = 5;

export const isLookedAt = (step) => LOOKED_AT.includes(step.code);

// Minutes follow the clock until they are set.
export function proposed(day, order) {
	const from = Date.parse(order.started_at ?? order.planned_start);
	const to = order.started_at ? null : Date.parse(order.planned_end);
	const people = day.people.filter((person) => person.in_crew).map((person) => ({ id: person.id, min: null, on: true }));
	const materials = order.materials.map(({ id, quantity }) => ({ id, quantity }));
	return { done: [], people, materials, from, to };
}

const inRange = (min) => Math.max(1, Math.min(LONGEST_MIN, min));
const minOf = ({ from, to }, { min }) => min ?? inRange(Math.ceil(((to ?? officeNow()) - from) / 60_000));

export const toldBefore = ({ steps_done = [], people = [], materials = [] }) => ({
	done: steps_done,
	people: people.map(({ person_id, minutes: min }) => ({ id: person_id, min, on: true })),
	materials: materials.map(({ material_id, quantity }) => ({ id: material_id, quantity })),
	from: 0,
	to: (people[0]?.minutes ?? 1) * 60_000,
});

export const asTold = (draft) => ({
	steps_done: [...draft.done].sort((a, b) => a - b),
	people: draft.people.filter((one) => one.on).map((one) => ({ person_id: one.id, minutes: minOf(draft, one) })),
	materials: draft.materials.filter((material) => material.quantity > 0).map(({ id, quantity }) => ({ material_id: id, quantity })),
});

export const stepRows = (order, draft, change) => part(say("steps"), h("div", { class: "rows" }, order.steps.map((step) => {
	const ticked = draft.done.includes(step.position);
	return tick("step", step.position, taskName(step), ticked, () => change({ done: toggled(draft.done, step.position) }));
})));

const toggled = (list, item) => (list.includes(item) ? list.filter((one) => one !== item) : [...list, item]);

export function peopleRows(day, draft, change) {
	const others = day.people.filter((person) => !draft.people.some(({ id }) => id === person.id));
	const set = (id, changes) => change({ people: draft.people.map((one) => (one.id === id ? { ...one, ...changes } : one)) });
	const move = (one, by) => set(one.id, { on: true, min: inRange(minOf(draft, one) + by * A_TAP_MIN) });
	return part(say("people"), h("div", { class: "rows" }, draft.people.map((one) => h("div", { class: "row-pair" },
		tick("person", one.id, personName(day, one.id), one.on, () => set(one.id, { on: !one.on })),
		stepper(`minutes-${one.id}`, minOf(draft, one), minutes(minOf(draft, one)), personName(day, one.id), (by) => move(one, by))))),
	more("person", say("one-more-person"), draft, change, others.map((person) => [person.id, person.name]),
		(id) => change({ people: [...draft.people, { id, min: null, on: true }], adds: null })));
}

export function materialRows(day, draft, change) {
	if (!day.materials.length) return null;
	const of = (id) => day.materials.find((material) => material.id === id);
	const others = day.materials.filter(({ id }) => !draft.materials.some((one) => one.id === id));
	const set = (id, quantity) => change({ materials: draft.materials.map((one) => (one.id === id ? { id, quantity } : one)) });
	const known = draft.materials.filter(({ id }) => of(id));
	return part(say("materials"), h("div", { class: "rows" }, known.map(({ id, quantity }) => h("div", { class: "row-pair" },
		h("span", {}, materialName(of(id))),
		stepper(`material-${id}`, quantity, amount(quantity, of(id).unit), materialName(of(id)),
			(by) => set(id, Math.max(0, quantity + by * tapOf(of(id)))))))),
	more("material", say("one-more-material"), draft, change, others.map((one) => [one.id, materialName(one)]),
		(id) => change({ materials: [...draft.materials, { id, quantity: tapOf(of(id)) }], adds: null })));
}

function more(name, label, draft, change, options, choose) {
	if (!options.length) return null;
	const opened = draft.adds === name;
	return [
		button(`more-${dash(name)}`, label, () => change({ adds: opened ? null : name }), { kind: "quiet", expanded: opened }),
		opened && picks(`add-${name}`, label, options, null, choose),
	];
}
