// Holding a court: shut at once, by anybody on shift, with a reason.

import { asks, deeds, noteLine } from "../controls.js";
import { button, heading, p } from "../dom.js";
import { faultsOf } from "../faults.js";
import { courtName, courtOf, wordPicks } from "../names.js";
import { leaveButton, tellAndShow } from "../screens.js";
import { noteOf } from "./undone.js";
import { say } from "../words.js";

export const HOLDS = ["lifted_tape", "hole", "net_or_post", "glass", "standing_water", "other"];

export const hold = {
	begin: (day, arg) => (courtOf(day, Number(arg)) ? { reason: null } : null),

	draw(day, draft, change, arg) {
		const court = courtOf(day, Number(arg));
		const told = () => ({ kind: "hold", court_id: court.id, reason: draft.reason, note: noteOf(draft, "hold-other") });
		return [
			heading(say("hold-title", { place: courtName(court) })),
			faultsOf(draft),
			p(say("hold-text")),
			asks("reason", "why", wordPicks("hold", HOLDS), draft.reason,
				(reason) => change({ reason })),
			draft.reason && noteLine(draft, change),
			deeds(draft.reason && button("give-hold", say("hold-now"), () => tellAndShow(told()), { kind: "bad" }),
				leaveButton()),
		];
	},
};
