// What is wrong with a court: it is held shut at once, by anybody on shift, or something seen is told of.

import { asks, deeds, faultsOf, noteLine } from "../controls.js";
import { place, where } from "../court.js";
import { heading, notice, p, part, soft } from "../dom.js";
import { courtName, courtOf, wordPicks } from "../names.js";
import { pictureRows } from "../pictures.js";
import { leaveButton, tells } from "../screens.js";
import { say } from "../words.js";
import { current } from "./order.js";
import { noteOf } from "./undone.js";

export const HOLDS = ["lifted_tape", "hole", "net_or_post", "glass", "standing_water", "other"];

export const hold = {
	begin: (day, arg) => (courtOf(day, Number(arg)) ? { reason: null } : null),

	draw(day, draft, change, arg) {
		const court = courtOf(day, Number(arg));
		const told = () => ({ kind: "hold", court_id: court.id, reason: draft.reason, note: noteOf(draft) });
		return [
			heading(say("hold-title", { place: courtName(court) })),
			faultsOf(draft),
			p(say("hold-text")),
			asks("reason", "why", wordPicks("hold", HOLDS), draft.reason,
				(reason) => change({ reason })),
			draft.reason && noteLine(draft, change),
			deeds(draft.reason && tells("give-hold", "hold-now", told, "bad"),
				leaveButton()),
		];
	},
};

const KINDS = ["low_spot", "hole", "loose_line", "lifted_tape", "torn_net", "worn_strap", "clogged_sprinkler",
	"standing_water", "weeds_or_algae", "fence_or_windscreen", "glass_or_sharp", "other"];
const SHUTS = ["hole", "lifted_tape", "glass_or_sharp", "standing_water"];

export const defect = {
	begin: (day, arg) => (courtOf(day, Number(arg)) ? { reason: null, spot: null, pictures: [] } : null),

	draw(day, draft, change, arg) {
		const court = courtOf(day, Number(arg));
		const ready = draft.reason && draft.spot;
		const order = current(day);
		const told = () => ({
			kind: "defect", court_id: court.id, ...(order?.court_id === court.id ? { order_id: order.id } : {}),
			defect: draft.reason, ...draft.spot, note: noteOf(draft),
		});
		return [
			heading(say("defect-title", { place: courtName(court) })),
			faultsOf(draft),
			asks("kind", "what", wordPicks("defect", KINDS), draft.reason, (reason) => change({ reason })),
			SHUTS.includes(draft.reason) && notice("wait", say("defect-shuts")),
			part(say("where-on-court"), place(draft.spot, (spot) => change({ spot })),
				soft(draft.spot ? where(draft.spot) : say("tap-the-court"))),
			part(say("show-or-say"), pictureRows(draft, change), noteLine(draft, change)),
			deeds(ready ? tells("give-defect", "tell-office", told)
					: soft(say("defect-needs")),
				leaveButton()),
		];
	},
};

export const defectFilled = ({ defect: reason, x_mm, y_mm, note }) => ({ reason, spot: { x_mm, y_mm }, note, pictures: [] });
