// When somebody may come to harm: an incident or a near miss (three taps), working alone, lightning.

import { link } from "../api.js";
import { officeNow } from "../clock.js";
import { asks, faultsOf } from "../controls.js";
import { view } from "../day.js";
import { button, group, heading, notice, p, part, soft, strong } from "../dom.js";
import { courtName, courtOf, personName, wordPicks } from "../names.js";
import { putPictures } from "../outbox.js";
import { pictureRows, picturesMade } from "../pictures.js";
import { backTo, leave, leaveButton, show, tell, tells } from "../screens.js";
import { current } from "./order.js";
import { minutes, time } from "../shown.js";
import { say } from "../words.js";

const LATE = 60_000;
const SOUND_HZ = 880;

let sound = null;

export function aloneStands(day) {
	if (!day?.alone || !day.alone_every_min) return null;
	const next = day.alone.at + day.alone_every_min * 60_000;
	const now = officeNow();
	return { next, due: now >= next, missed: now >= next + LATE, seen: link.state === "ok" && !day.alone.waits };
}

export const isWell = ({ alone: { watch, court_id } }, event = "well") => ({
	kind: "alone", watch, event, ...(court_id ? { court_id } : {}),
});

// A tap lets the browser play sound later.
function allowSound() {
	sound ??= "AudioContext" in globalThis ? new AudioContext() : null;
}

export function ringWhenDue() {
	if (!aloneStands(view())?.due) return;
	navigator.vibrate?.([400, 200, 400]);
	if (!sound) return;
	const tone = sound.createOscillator();
	tone.frequency.value = SOUND_HZ;
	tone.connect(sound.destination);
	tone.start();
	tone.stop(sound.currentTime + 0.6);
}

const WHAT = ["slip_or_fall", "struck", "cut", "heat", "chemical", "electric", "vehicle", "other"];
const ANSWERS = [["yes", "hurt-yes", "bad"], ["no", "hurt-no"], ["unknown", "hurt-unknown"], ["near_miss", "hurt-near-miss"]];

export const incident = {
	begin: (day) => ({ what: null, court_id: current(day)?.court_id ?? null }),

	draw(day, draft, change) {
		const courts = [...day.courts.map((court) => [court.id, courtName(court)]), [null, say("elsewhere")]];
		return [
			heading(say("incident-title")),
			emergency(),
			faultsOf(draft),
			asks("what", "what-happened", wordPicks("incident", WHAT),
				draft.what, (what) => change({ what })),
			asks("court", "incident-where", courts, draft.court_id, (court_id) => change({ court_id })),
			helpAt(courtOf(day, draft.court_id)),
			part(say("anyone-hurt"), draft.what
				? group(ANSWERS.map(([value, key, kind]) => button("hurt", say(key), () => give(draft, value), { value, kind })))
				: soft(say("say-what-first"))),
			leaveButton(),
		];
	},
};

const emergency = () => notice("bad", strong(say("emergency-first")), p(say("emergency-text")));

export function helpAt(court) {
	if (!court) return null;
	return notice("water",
		p(strong(say("first-aid")), " ", court.first_aid ?? say("first-aid-unknown")),
		p(strong(say("ambulance-way")), " ", court.ambulance_way ?? say("ambulance-unknown")));
}

async function give({ what, court_id }, answer) {
	const near = answer === "near_miss";
	const key = await tell({
		kind: "incident", incident: near ? "near_miss" : "incident", what, ...(court_id ? { court_id } : { place: say("elsewhere") }),
		anyone_hurt: near ? "no" : answer,
	});
	if (key) await show("incident-told", key);
}

export const incidentFilled = ({ what, court_id }) => ({ what, court_id: court_id ?? null });

export const incidentTold = {
	begin: () => ({ pictures: [] }),

	draw(day, draft, change, key) {
		const done = async () => {
			await picturesMade();
			if (draft.pictures.length) await putPictures(draft.pictures, key);
			await leave();
		};
		return [
			heading(say("incident-told")), emergency(), p(say("incident-told-text")), pictureRows(draft, change),
			button("incident-done", say("done"), done, { kind: "main" }),
		];
	},
};

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

export const lightning = {
	draw(day) {
		return [
			heading(say("lightning-title")),
			notice("bad", p(say("lightning-text"))),
			tells("lightning-tell", "lightning-tell", () => ({ kind: "lightning" }), "huge bad"),
			soft(say(day.stop ? "lightning-again" : "lightning-advice")),
			backTo("more"),
		];
	},
};
