// Closing an order. When all went as planned it is four taps: Close, all as planned, looked over, fit for play.

import { officeNow, toDevice } from "../clock.js";
import { asked, faultsOf, noteLine, picks, textLine } from "../controls.js";
import { button, h, heading, notice, p } from "../dom.js";
import { courtOf, placeName, taskName, wordPicks } from "../names.js";
import { leaveButton, tellAndShow } from "../screens.js";
import { HOLDS } from "./defect.js";
import { OPEN, orderOf } from "./order.js";
import { missingOf, needsTreatment, treatmentForm, treatmentsTold } from "./treatment.js";
import { asTold, isLookedAt, materialRows, peopleRows, proposed, stepRows, toldBefore } from "./work.js";
import { atHour, when } from "../shown.js";
import { say } from "../words.js";

const MIN = 60_000;
const EVENING = 18;
const MORNING = 7;

export const close = {
	begin(day, arg) {
		const order = orderOf(day, arg);
		return order && OPEN.includes(order.state) ? { ...proposed(day, order), asked: null, treatment: null } : null;
	},

	draw(day, draft, change, arg) {
		const order = orderOf(day, arg);
		if (!order) return [heading(say("order-gone")), leaveButton()];
		return [
			heading(say("close-title", { place: placeName(order) })),
			faultsOf(draft),
			shortCuts(order, draft, change),
			stepRows(order, draft, change),
			peopleRows(day, draft, change),
			materialRows(day, draft, change),
			needsTreatment(order, draft.done) && treatmentForm(day, order, draft, change),
			noteLine(draft, change),
			leaveButton("back-without-closing"),
			answers(day, order, draft, change),
		];
	},
};

export const closeFilled = (told) => ({ ...toldBefore(told), note: told.note, asked: null, treatment: told.treatments?.[0] ?? null });

// The look-over and the net are a tap of their own: they are seen to, not assumed.
function shortCuts(order, draft, change) {
	const seen_to = order.steps.filter(isLookedAt);
	const looks = seen_to.filter((step) => step.code === "look_over").length;
	const key = !looks ? "net-checked" : looks < seen_to.length ? "looked-and-net" : "looked";
	const cut = (name, label, steps) => {
		const positions = steps.map((step) => step.position);
		const all = positions.every((position) => draft.done.includes(position));
		return positions.length > 0 && button(name, `${all ? "✓ " : ""}${say(label)}`,
			() => change({ done: [...new Set([...draft.done, ...positions])] }), { kind: "main", pressed: all });
	};
	return h("div", { class: "short-cuts" },
		cut("all-as-planned", "all-as-planned", order.steps.filter((step) => !isLookedAt(step))), cut("looked-over", key, seen_to));
}

function answers(day, order, draft, change) {
	const unticked = order.steps.filter((step) => !draft.done.includes(step.position));
	const missing = missingHere(order, draft);
	const held_now = order.court_id && courtOf(day, order.court_id)?.held.length > 0;
	const say_yes = () => (missing || unticked.length || held_now ? change({ asked: "yes" }) : give(order, draft, { is: "yes" }));
	return h("section", { class: "answers", "aria-label": say("fit-question") },
		draft.asked && askedFirst(order, draft, change, { unticked, missing, held_now }),
		h("p", { class: "question" }, say(order.court_id ? "fit-question" : "fit-question-bank")),
		h("div", { class: "three" },
			button("fit-yes", say("fit-yes-give"), say_yes, { kind: "good", pressed: draft.asked === "yes" }),
			button("fit-not-yet", say("fit-not-yet-give"), () => change({ asked: "not_yet" }), { kind: "wait", pressed: draft.asked === "not_yet" }),
			button("fit-held", say("fit-held-give"), () => change({ asked: "held" }), { kind: "bad", pressed: draft.asked === "held" })));
}

function missingHere(order, draft) {
	if (!draft.people.some((person) => person.on)) return say("fault-people-missing");
	return needsTreatment(order, draft.done) ? missingOf(draft.treatment) : null;
}

function askedFirst(order, draft, change, { unticked, missing, held_now }) {
	if (missing) return notice("bad", missing);
	return notice("wait",
		unticked.length > 0 && p(say("not-ticked", { steps: unticked.map(taskName).join(", ") })),
		draft.asked === "yes" && unticked.some(isLookedAt) && p(say("look-first")),
		draft.asked === "yes" && held_now && p(say("fault-court-held")),
		draft.asked === "yes" && button("give-all-the-same", say("give-all-the-same"), () => give(order, draft, { is: "yes" })),
		draft.asked === "not_yet" && asked("until", "until-when", untils(), null,
			(until) => give(order, draft, { is: "not_yet", until: toDevice(until) })),
		draft.asked === "held" && held(order, draft, change));
}

function untils() {
	const now = officeNow();
	const evening = atHour(EVENING, 0);
	return [
		[now + 30 * MIN, say("until-30-min")], [now + 60 * MIN, say("until-1-h")], [now + 120 * MIN, say("until-2-h")],
		evening > now + 30 * MIN && [evening, say("until-evening", { time: when(evening) })],
		[atHour(MORNING, 1), say("until-morning", { time: when(atHour(MORNING, 1)) })],
	].filter(Boolean);
}

function held(order, draft, change) {
	const give_held = (hold_reason) => give(order, draft, {
		is: "held", hold_reason, reason: draft.reason?.trim() || (hold_reason === "other" ? say(hold_reason) : undefined),
	});
	return [p(say("held-why")), textLine("reason", say("in-own-words"), draft.reason, (reason) => change({ reason }, true)),
		picks("held-why", say("held-why"), wordPicks("hold", HOLDS), null, give_held)];
}

function give(order, draft, fit) {
	const treatments = needsTreatment(order, draft.done) ? { treatments: treatmentsTold(draft.treatment) } : {};
	return tellAndShow({ kind: "finish", order_id: order.id, fit, ...asTold(draft), ...treatments, note: draft.note?.trim() || undefined });
}
