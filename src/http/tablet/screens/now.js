// The first screen: the order now, and the rest of the round.

import { deeds } from "../controls.js";
import { button, h, heading, p, part, strong } from "../dom.js";
import { placeName } from "../names.js";
import { show } from "../screens.js";
import { current, orderPanel, stateName } from "./order.js";
import { time } from "../shown.js";
import { say } from "../words.js";

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
		deeds(button("more", say("more"), () => show("more"))));
}

const row = (order) => h("li", {}, button("order", [
	strong(placeName(order)),
	h("span", {}, time(order.planned_start), "–", time(order.planned_end)),
	h("span", { class: `state is-${order.mend ? "bad" : order.state}` }, order.mend ? say("to-mend") : stateName(order), order.waits ? " · ↑" : ""),
], () => show("order", order.id), { value: order.id, kind: "row" }));
