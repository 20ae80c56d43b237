// Something seen on a court: what, where, and a photo or a few spoken words.

import { picks, textLine } from "../controls.js";
import { place } from "../court.js";
import { button, h, heading, notice, part } from "../dom.js";
import { faultsOf } from "../faults.js";
import { courtName, courtOf, wordOf } from "../names.js";
import { pictureRows, stopRecording } from "../pictures.js";
import { leave, tellAndShow } from "../screens.js";
import { where } from "../where.js";
import { say } from "../words.js";
import { current } from "./order.js";
import { noteOf } from "./undone.js";

const KINDS = ["low_spot", "hole", "loose_line", "lifted_tape", "torn_net", "worn_strap", "clogged_sprinkler",
  "standing_water", "weeds_or_algae", "fence_or_windscreen", "glass_or_sharp", "other"];
/** What somebody can be hurt by keeps the court shut: the form says so. */
const SHUTS = ["hole", "lifted_tape", "glass_or_sharp", "standing_water"];

export const defect = {
  begin: (day, arg) => (courtOf(day, Number(arg)) ? { reason: null, spot: null, pictures: [] } : null),

  draw(day, draft, change, arg) {
    const court = courtOf(day, Number(arg));
    const ready = draft.reason && draft.spot;
    const order = current(day);
    const told = () => ({
      kind: "defect", court_id: court.id, ...(order?.court_id === court.id ? { order_id: order.id } : {}),
      defect: draft.reason, ...draft.spot, note: noteOf(draft, "defect-other"),
    });
    const back = () => { stopRecording(); leave(); };
    return [
      heading(say("defect-title", { place: courtName(court) })),
      faultsOf(draft),
      part(say("what"), picks("kind", say("what"), KINDS.map((kind) => [kind, wordOf("defect", kind)]), draft.reason,
        (reason) => change({ reason }))),
      SHUTS.includes(draft.reason) && notice("wait", say("defect-shuts")),
      part(say("where-on-court"), place(draft.spot, (spot) => change({ spot })),
        h("p", { class: "soft" }, draft.spot ? where(draft.spot) : say("tap-the-court"))),
      part(say("show-or-say"), pictureRows(draft, change), textLine("note", say("in-own-words"), draft.note, (note) => change({ note }, true))),
      h("nav", { class: "deeds", "aria-label": say("deeds") },
        ready ? button("give-defect", say("tell-office"), () => tellAndShow(told(), { pictures: draft.pictures }), { kind: "main" })
          : h("p", { class: "soft" }, say("defect-needs")),
        button("leave", say("back"), back, { kind: "quiet" })),
    ];
  },
};

/** Fills the form from what was told before. */
export const defectFilled = ({ defect: reason, x_mm, y_mm, note }) => ({ reason, spot: { x_mm, y_mm }, note, pictures: [] });
