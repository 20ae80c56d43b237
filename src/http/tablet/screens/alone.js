// Working alone: said when it begins, told to be well at the site's interval, said when it ends.

import { allowSound, isWell, aloneStands } from "../alone.js";
import { link } from "../api.js";
import { button, heading, notice, p, soft, strong } from "../dom.js";
import { courtName, courtOf, personName } from "../names.js";
import { backTo, tell } from "../screens.js";
import { current } from "./order.js";
import { minutes, time } from "../shown.js";
import { say } from "../words.js";

export const alone = {
	draw(day) {
		const { alone: who } = day;
		const stands = aloneStands(day);
		return [
			heading(say("alone-title")),
			who ? under_way(day, who, stands) : not_alone(day),
			link.state !== "ok" && notice("bad", strong(say("alone-unseen"))),
			soft(say("alone-safety")),
			backTo("more"),
		];
	},
};

function not_alone(day) {
	const begin = () => {
		allowSound();
		tell({ kind: "alone", watch: crypto.randomUUID(), event: "begun", ...here(day) });
	};
	if (!day.alone_every_min) return p(say("alone-not-asked"));
	return [
		p(say("alone-text", { every: minutes(day.alone_every_min) })),
		button("alone-begin", say("alone-begin"), begin, { kind: "main" }),
	];
}

const here = (day) => {
	const court_id = current(day)?.court_id;
	return court_id ? { court_id } : {};
};

function under_way(day, who, stands) {
	const event = (name) => () => {
		allowSound();
		tell({ ...isWell(day, name), ...here(day) });
	};
	const court = courtOf(day, who.court_id);
	return [
		p(say("alone-who", { who: personName(day, who.person_id), place: court ? courtName(court) : say("elsewhere") })),
		stands && notice(stands.missed ? "bad" : stands.due ? "wait" : "good",
			strong(say(stands.missed ? "alone-missed" : stands.due ? "alone-due" : "alone-next", { time: time(stands.next) }))),
		stands && link.state === "ok" && notice(stands.seen ? "good" : "wait", say(stands.seen ? "alone-seen" : "alone-waits")),
		button("alone-well", say("alone-well"), event("well"), { kind: "huge", value: who.watch }),
		button("alone-end", say("alone-end"), event("ended"), { value: who.watch }),
	];
}
