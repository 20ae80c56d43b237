// Holding a court: shut at once, by anybody on shift, with a reason.

import { picks, textLine } from "../controls.js";
import { button, h, heading, part } from "../dom.js";
import { faultsOf } from "../faults.js";
import { courtName, courtOf, wordOf } from "../names.js";
import { leave, tellAndShow } from "../screens.js";
import { say } from "../words.js";
import { noteOf } from "./undone.js";

export const HOLDS = ["lifted_tape", "hole", "net_or_post", "glass", "standing_water", "other"];

export const hold = {
  begin: (day, arg) => (courtOf(day, Number(arg)) ? { reason: null } : null),

  draw(day, draft, change, arg) {
    const court = courtOf(day, Number(arg));
    const told = () => ({ kind: "hold", court_id: court.id, reason: draft.reason, note: noteOf(draft, "hold-other") });
    return [
      heading(say("hold-title", { place: courtName(court) })),
      faultsOf(draft),
      h("p", {}, say("hold-text")),
      part(say("why"), picks("reason", say("why"), HOLDS.map((reason) => [reason, wordOf("hold", reason)]), draft.reason,
        (reason) => change({ reason }))),
      draft.reason && textLine("note", say("in-own-words"), draft.note, (note) => change({ note }, true)),
      h("nav", { class: "deeds", "aria-label": say("deeds") },
        draft.reason && button("give-hold", say("hold-now"), () => tellAndShow(told()), { kind: "bad" }),
        button("leave", say("back"), leave, { kind: "quiet" })),
    ];
  },
};
