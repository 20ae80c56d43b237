// An incident or a near miss: what, where, whether anyone is hurt. Three taps; a photo may follow.

import { asks } from "../controls.js";
import { button, group, heading, notice, p, part, soft, strong } from "../dom.js";
import { faultsOf } from "../faults.js";
import { courtName, courtOf, dash } from "../names.js";
import { putPictures } from "../outbox.js";
import { pictureRows, picturesMade } from "../pictures.js";
import { leave, leaveButton, show, tell } from "../screens.js";
import { current } from "./order.js";
import { say } from "../words.js";

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
			asks("what", "what-happened", WHAT.map((what) => [what, say(`incident-${dash(what)}`)]),
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
