// The day as the crew knows it: the office's last day, with what was told here since laid over it.

import { toOffice } from "./clock.js";

// `day` was asked for at `asked_at`; `events` oldest first. What an office of another version leaves out is none.
export function applied(day, asked_at, events) {
	const view = { heat_stops: [], site_words: [], tools: [], materials: [], ...structuredClone(day), alone: null };
	for (const one of view.courts) Object.assign(one, { held: one.held ?? [], odd: one.odd ?? [] });
	for (const event of events) {
		const { happening } = event;
		const at = toOffice(event.at);
		const order = view.round.find((one) => one.id === happening.order_id);
		if (order && event.state === "waiting") order.waits = true;
		if (order && event.state === "refused") order.mend = true;
		ONLY_HERE[happening.kind]?.(view, happening, at, event);
		const in_day = event.answered_at !== null && event.answered_at < asked_at;
		const stands = ["waiting", "taken"].includes(event.state);
		if (stands && !in_day) OVER_THE_DAY[happening.kind]?.(view, happening, at, order, event);
	}
	return view;
}

// The office's day does not tell it.
const ONLY_HERE = {
	attendance(view, { person_id, event }, at, { state }) {
		const person = view.people.find((one) => one.id === person_id);
		if (person && state !== "refused") person.clock = { event, at };
	},
	alone(view, { watch, event, court_id }, at, { state, person_id }) {
		const before = view.alone?.watch === watch ? view.alone : null;
		if (event === "ended") view.alone = before ? null : view.alone;
		else view.alone = { watch, event, at, person_id, court_id: court_id ?? before?.court_id ?? null, waits: state === "waiting" };
	},
};

const OVER_THE_DAY = {
	start(view, told, at, order) {
		if (order) Object.assign(order, { state: "under_way", started_at: iso(at) });
	},
	finish(view, { fit, steps_done }, at, order, event) {
		if (!order) return;
		Object.assign(order, { state: "finished", ended_at: iso(at), fit: fit.is });
		done(order, steps_done);
		if (fit.is === "held") hold(view, order.court_id, fit.hold_reason ?? "other", fit.reason, at, event);
	},
	leave_undone(view, { reason, steps_done }, at, order) {
		if (!order) return;
		Object.assign(order, { state: "left_undone", ended_at: iso(at), undone: reason });
		done(order, steps_done ?? []);
	},
	take_back(view, told, at, order) {
		if (!order) return;
		Object.assign(order, { state: order.started_at ? "under_way" : "issued", ended_at: null, fit: null });
		for (const step of order.steps) step.done = null;
	},
	hand_over(view, { crew_id }, at, order) {
		if (order && crew_id !== view.crew_id) view.round.splice(view.round.indexOf(order), 1);
	},
	hold(view, { court_id, reason, note }, at, order, event) {
		hold(view, court_id, reason, note, at, event);
	},
	defect(view, { court_id, defect, x_mm, y_mm, note }, at) {
		court(view, court_id)?.odd.push({ kind: defect, x_mm, y_mm, note, since: iso(at) });
	},
	// What was measured here is what the next reading is held against.
	tool_check(view, { tool_id, readings }, at) {
		const parts = view.tools.find((one) => one.id === tool_id)?.parts ?? [];
		const on = new Intl.DateTimeFormat("sv-SE", { timeZone: view.site.zone }).format(at);
		for (const { wear_part_id, points_um } of readings) {
			const part = parts.find((one) => one.id === wear_part_id);
			const mean = points_um.reduce((sum, um) => sum + um, 0) / points_um.length;
			if (part && !(mean > part.last_um)) Object.assign(part, { last_um: mean, last_on: on });
		}
	},
	crew_change(view, { person_id, joins }) {
		const person = view.people.find((one) => one.id === person_id);
		if (person) person.in_crew = joins;
	},
	lightning(view) {
		view.stop ??= { kind: "lightning", release_from: null };
	},
};

const iso = (ms) => new Date(ms).toISOString();

const court = (view, id) => view.courts.find((one) => one.id === id);

function hold(view, court_id, reason, note, at, event) {
	const person = view.people.find((one) => one.id === event.person_id);
	court(view, court_id)?.held.push({ id: event.key, reason, note: note ?? null, held_at: iso(at), held_by: person?.name ?? null });
}

function done(order, positions) {
	for (const step of order.steps) step.done = positions.includes(step.position);
}
