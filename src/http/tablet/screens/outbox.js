// What was told and is not sent, what came too late, and what must be mended.

import { toOffice } from "../clock.js";
import { button, group, h, heading, notice, p, part, soft, strong } from "../dom.js";
import { faultTexts } from "../controls.js";
import { courtName, courtOf, placeName } from "../names.js";
import { byKey, inState, pictureStates, put, setAside } from "../outbox.js";
import { backTo, draw, showFilled } from "../screens.js";
import { closeFilled } from "./close.js";
import { defectFilled } from "./defect.js";
import { incidentFilled } from "./safety.js";
import { orderOf } from "./order.js";
import { toolFilled } from "./tools.js";
import { undoneFilled } from "./undone.js";
import { send } from "../sender.js";
import { when } from "../shown.js";
import { say } from "../words.js";

const SHOWN = 40;
// What was told, by the words of the button that told it.
const TOLD = {
	start: "start", finish: "close", leave_undone: "leave-undone", take_back: "take-back", hand_over: "hand-over", note: "add-note",
	hold: "hold-court", defect: "something-seen", incident: "incident-title", alone: "alone-title", attendance: "people-title",
	crew_change: "people-title", tool_check: "tool-check", lightning: "lightning-title",
};

// What has no form is sent again as it was.
const FORMS = {
	finish: (told) => ["close", told.order_id, closeFilled(told)],
	leave_undone: (told) => ["undone", told.order_id, undoneFilled(told)],
	hold: (told) => ["hold", told.court_id, { reason: told.reason, note: told.note }],
	defect: (told) => ["defect", told.court_id, defectFilled(told)],
	incident: (told) => ["incident", "", incidentFilled(told)],
	tool_check: (told) => ["tool", told.tool_id ? `t${told.tool_id}` : `c${told.court_id}`, toolFilled(told)],
	note: (told) => ["note", told.order_id, { text: told.text }],
};
// Faults of when it was said to be: what is mended happens now.
const OF_ITS_TIME = ["not_happened_yet", "before_the_day", "before_the_start"];

let lists = null;

export async function readOutbox() {
	const [events, photos] = await Promise.all([inState("waiting", "refused", "noted", "taken", "set-aside"), pictureStates()]);
	lists = { events, photos };
}

export const outbox = {
	draw(day) {
		if (!lists) {
			readOutbox().then(draw);
			return heading(say("outbox-title"));
		}
		const { events, photos } = lists;
		const of = (...states) => events.filter((event) => states.includes(event.state));
		const list = (some, more) => h("ul", { class: "told" }, some.map((event) => (
			h("li", { data: { key: event.key } }, line(day, event), more?.(event)))));
		const [to_mend, waiting, noted] = [of("refused"), of("waiting"), of("noted").reverse()];
		return [
			heading(say("outbox-title")),
			to_mend.length > 0 && part(say("to-mend"), p(say("to-mend-text")), list(to_mend, toMend)),
			part(say("not-sent"), photos.waiting > 0 && p(say("pictures-wait", { number: photos.waiting })),
				waiting.length + photos.waiting ? [list(waiting), button("send-now", say("send-now"), send)] : p(say("nothing-waits"))),
			photos.refused > 0 && notice("wait", say("pictures-refused", { number: photos.refused })),
			noted.length > 0 && part(say("noted"), p(say("noted-text")), list(noted.slice(0, SHOWN), ({ answer }) => (
				h("p", { class: "soft", lang: "en" }, answer.detail)))),
			part(say("sent"), list(of("taken", "set-aside").reverse().slice(0, SHOWN), ({ state }) => (
				state === "set-aside" && soft(say("was-set-aside"))))),
			backTo("now"),
		];
	},
};

function line(day, { happening, at }) {
	const order = happening.order_id && orderOf(day, happening.order_id);
	const court = happening.court_id && courtOf(day, happening.court_id);
	const person = day.people.find((one) => one.id === happening.person_id)?.name;
	const of = [order ? placeName(order) : court ? courtName(court) : null, person].filter(Boolean).join(" · ");
	return p(strong(say(TOLD[happening.kind])), of && ` · ${of}`,
		h("span", { class: "soft" }, ` · ${when(toOffice(at))}`));
}

const toMend = ({ key, happening, answer }) => [
	notice("bad", faultTexts(answer).map((text) => p(text))),
	group(
		button("mend", say(FORMS[happening.kind] ? "mend" : "send-again"), () => mend(key), { value: key, kind: "main" }),
		button("set-aside", say("set-aside"), () => setAside(key), { value: key })),
];

async function mend(key) {
	const { happening, at, answer } = await byKey(key);
	const codes = [answer.code, ...answer.errors.map((error) => error.code)];
	const when_told = codes.some((code) => OF_ITS_TIME.includes(code)) ? undefined : at;
	const form = FORMS[happening.kind]?.(happening);
	if (!form) await put(happening, { mends: key, at: when_told });
	else await showFilled(form[0], form[1], { ...form[2], mends: key, at: when_told, faults: faultTexts(answer) });
}
