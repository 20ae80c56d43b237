// Leaving an order undone: why, and what was done all the same.

import { picks, textLine } from "../controls.js";
import { button, h, heading, part } from "../dom.js";
import { faultsOf } from "../faults.js";
import { placeName, wordOf } from "../names.js";
import { leave, tellAndShow } from "../screens.js";
import { say } from "../words.js";
import { OPEN, orderOf } from "./order.js";
import { asTold, peopleRows, proposed, stepRows, toldBefore } from "./work.js";

const REASONS = ["court_in_play", "weather", "no_tool", "no_water", "no_time", "unsafe", "other"];

export const undone = {
  begin(day, arg) {
    const order = orderOf(day, arg);
    if (!order || !OPEN.includes(order.state)) return null;
    const draft = proposed(day, order);
    // Nothing was taken, and nobody worked on what was never begun.
    return { ...draft, materials: [], people: draft.people.map((person) => ({ ...person, on: order.state === "under_way" })), reason: null };
  },

  draw(day, draft, change, arg) {
    const order = orderOf(day, arg);
    if (!order) return [heading(say("order-gone")), button("leave", say("back"), leave)];
    const told = () => ({
      kind: "leave_undone", order_id: order.id, reason: draft.reason, ...asTold(draft), note: noteOf(draft, "undone-other"),
    });
    return [
      heading(say("undone-title", { place: placeName(order) })),
      faultsOf(draft),
      part(say("why"), picks("reason", say("why"), REASONS.map((reason) => [reason, wordOf("undone", reason)]), draft.reason,
        (reason) => change({ reason }))),
      draft.reason && [
        textLine("note", say("in-own-words"), draft.note, (note) => change({ note }, true)),
        h("p", {}, say("done-all-the-same")),
        stepRows(order, draft, change),
        peopleRows(day, draft, change),
      ],
      h("nav", { class: "deeds", "aria-label": say("deeds") },
        draft.reason && button("give-undone", say("give-undone"), () => tellAndShow(told()), { kind: "main" }),
        button("leave", say("back"), leave, { kind: "quiet" })),
    ];
  },
};

/** Fills the form from what was told before. */
export const undoneFilled = (told) => ({ ...toldBefore(told), reason: told.reason, note: told.note });

/** What was typed; where somebody picked "other" and typed nothing, at least that word. */
export const noteOf = ({ note, reason }, other) => note?.trim() || (reason === "other" ? say(other) : undefined);
