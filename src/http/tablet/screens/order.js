// One order as the crew needs it; the first screen shows the one of now and the rest of the round.

import { officeNow } from "../clock.js";
import { deeds } from "../controls.js";
import { drawing, where } from "../court.js";
import { button, h, heading, notice, p, part, strong } from "../dom.js";
import { className, courtOf, dash, materialName, placeName, taskName, wordOf } from "../names.js";
import { ownPicture } from "../own.js";
import { backTo, goTo, show, tells } from "../screens.js";
import { air, amount, minutes, time, when, wind } from "../shown.js";
import { has, say } from "../words.js";

export const OPEN = ["issued", "under_way"];
const CLOSED = ["finished", "left_undone"];

export const orderOf = (day, id) => day.round.find((order) => String(order.id) === String(id));

export function current(day) {
	return ["under_way", "issued", "planned"].map((state) => day.round.find((order) => order.state === state)).find(Boolean);
}

function orderPanel(day, order) {
	const court = order.court_id ? courtOf(day, order.court_id) : null;
	return [
		heading(ownPicture("court", order.court_id), placeName(order)),
		h("p", { class: "by" }, strong(say("by-when", { time: time(order.due_at ?? order.planned_end) })), " · ",
			say(`kind-${dash(order.kind)}`), " · ", stateName(order)),
		OPEN.includes(order.state) && pace(order),
		order.mend && notice("bad", say("order-mend")),
		order.follows_id && notice("wait", say("order-follows")),
		order.waits && notice("wait", say("order-waits")),
		court && oddities(court),
		h("div", { class: "kit" }, way(order, court), h("div", {}, tools(order), materials(order))),
		steps(order),
		CLOSED.includes(order.state) && notice(order.state === "finished" ? "good" : "wait", p(given(order)), p(say("take-back-text"))),
		orderDeeds(order),
	];
}

const stateName = (order) => (order.state === "finished" && order.fit
	? say(`fit-${dash(order.fit)}`) : say(`state-${dash(order.state)}`));

const given = (order) => say("given-back", { time: when(order.ended_at ?? order.planned_end), state: stateName(order) });

// Against the planned start until it is begun, then against what began late or runs over.
function behind(order) {
	const late = (at) => Math.round((officeNow() - Date.parse(at)) / 60_000);
	if (order.state !== "under_way") return late(order.planned_start);
	const began = Math.round((Date.parse(order.started_at) - Date.parse(order.planned_start)) / 60_000);
	return Math.max(began, late(order.planned_end));
}

function pace(order) {
	const number = behind(order);
	const key = number > 0 ? "pace-behind" : number < 0 ? "pace-ahead" : "pace-even";
	return h("p", { class: `pace is-${number > 0 ? "wait" : "good"}`, data: { behind: number } }, say(key, { time: minutes(Math.abs(number)) }));
}

function oddities(court) {
	return [
		court.held.map((hold) => notice("bad", strong(say("held-because", { why: wordOf("hold", hold.reason) })),
			hold.note && p(hold.note),
			p(say("since", { time: when(hold.held_at), who: hold.held_by ?? say("somebody") })))),
		court.odd.map((odd) => notice("wait", strong(wordOf("defect", odd.kind)), p(where(odd), " · ",
			say("seen-since", { time: when(odd.since) })), odd.note && p(odd.note))),
	];
}

function way(order, court) {
	if (!order.direction) return null;
	return h("figure", {}, drawing({ direction: order.direction, spots: court?.odd }),
		h("figcaption", {}, say(`groom-${order.direction}`)));
}

function tools(order) {
	if (!order.tools.length) return null;
	return part(say("tools"), h("ul", { class: "tools" }, order.tools.map((tool) => h("li", {},
		ownPicture("tool_class", tool.class), h("strong", { class: "number" }, tool.number), " ", className(tool)))));
}

function materials(order) {
	if (!order.materials.length) return null;
	return part(say("materials"), h("ul", {}, order.materials.map((material) => h("li", {},
		ownPicture("material", material.code), materialName(material), " ", strong(amount(material.quantity, material.unit))))));
}

function steps(order) {
	return part(say("steps"), h("ol", { class: "steps" }, order.steps.map((step) => h("li", { class: step.done === false ? "is-undone" : null },
		ownPicture("care_task", step.code), strong(taskName(step)), " ", h("span", { class: "soft" }, minutes(Math.max(1, Math.round(step.planned_s / 60)))),
		step.done === true && " ✓", step.done === false && h("span", {}, ` · ${say("not-done")}`),
		cautions(step), step.labels?.map(label)))));
}

// Where the person's language has none, that is said, and the English stands.
function cautions(step) {
	const keys = (step.caution ?? "").split(",").filter(Boolean).map((key) => `caution-${dash(key)}`);
	return keys.map((key) => {
		const own = has(key);
		const text = say(key);
		return h("p", { class: "caution" }, text === key ? say("caution-other") : text, !own && text !== key && ` (${say("not-in-language")})`);
	});
}

function label({ name, label: said }) {
	const facts = [
		said.gear.length && say("label-wear", { gear: said.gear.join(", ") }),
		said.max_wind_mmps && say("label-wind", { wind: wind(said.max_wind_mmps) }),
		Number.isFinite(said.min_air_mc) && say("label-air-least", { air: air(said.min_air_mc) }),
		Number.isFinite(said.max_air_mc) && say("label-air-most", { air: air(said.max_air_mc) }),
		said.rest_s && say("label-rest", { time: minutes(said.rest_s / 60) }),
		say("label-sheet", { sheet: said.sheet }),
	];
	return h("div", { class: "caution" }, strong(name), p(say("label-first")),
		h("ul", {}, facts.filter(Boolean).map((fact) => h("li", {}, fact))));
}

export const atCourt = (id) => [goTo("hold", "hold-court", id), goTo("defect", "something-seen", id)];

function orderDeeds(order) {
	const { id, state, court_id } = order;
	const open = OPEN.includes(state);
	return deeds(
		state === "issued" && tells("start", "start", () => ({ kind: "start", order_id: id }), "main", id),
		open && goTo("close", "close", id, state === "under_way" ? "main" : null),
		open && goTo("undone", "leave-undone", id),
		CLOSED.includes(state) && tells("take-back", "take-back", () => ({ kind: "take_back", order_id: id }), null, id),
		court_id && atCourt(court_id),
		goTo("more", "more", id));
}

export const order = {
	draw(day, arg) {
		const one = orderOf(day, arg);
		if (!one) return [heading(say("order-gone")), backTo("now")];
		return [h("article", { class: "order" }, orderPanel(day, one)), backTo("now")];
	},
};

export const now = {
	draw(day) {
		const order = current(day);
		const rest = day.round.filter((one) => one !== order);
		return [
			order ? h("article", { class: "order" }, orderPanel(day, order)) : nothing(day),
			rest.length > 0 && part(say("round"), h("ul", { class: "round" }, rest.map(row))),
		];
	},
};

function nothing(day) {
	return h("article", { class: "order" }, heading(say(day.round.length ? "round-done" : "round-empty")),
		p(say(day.round.length ? "round-done-text" : "round-empty-text")),
		deeds(goTo("more", "more")));
}

const row = (order) => h("li", {}, button("order", [
	strong(placeName(order)),
	h("span", {}, time(order.planned_start), "–", time(order.planned_end)),
	h("span", { class: `state is-${order.mend ? "bad" : order.state}` }, order.mend ? say("to-mend") : stateName(order), order.waits ? " · ↑" : ""),
], () => show("order", order.id), { value: order.id, kind: "row" }));
