// An incident or a near miss: what, where, whether anyone is hurt. Three taps; a photo may follow.

import { picks } from "../controls.js";
import { button, h, heading, notice, part } from "../dom.js";
import { faultsOf } from "../faults.js";
import { courtName, courtOf, dash } from "../names.js";
import { putPictures } from "../outbox.js";
import { pictureRows, stopRecording } from "../pictures.js";
import { leave, show, tell } from "../screens.js";
import { say } from "../words.js";
import { current } from "./order.js";

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
      part(say("what-happened"), picks("what", say("what-happened"), WHAT.map((what) => [what, say(`incident-${dash(what)}`)]),
        draft.what, (what) => change({ what }))),
      part(say("incident-where"), picks("court", say("incident-where"), courts, draft.court_id, (court_id) => change({ court_id }))),
      helpAt(courtOf(day, draft.court_id)),
      part(say("anyone-hurt"), draft.what
        ? h("div", { class: "picks" }, ANSWERS.map(([value, key, kind]) => button("hurt", say(key), () => give(draft, value), { value, kind })))
        : h("p", { class: "soft" }, say("say-what-first"))),
      button("leave", say("back"), leave, { kind: "quiet" }),
    ];
  },
};

const emergency = () => notice("bad", h("strong", {}, say("emergency-first")), h("p", {}, say("emergency-text")));

/** Where first aid is, and how an ambulance is shown the way to this court; on the tablet without signal too. */
export function helpAt(court) {
  if (!court) return null;
  return notice("water",
    h("p", {}, h("strong", {}, say("first-aid")), " ", court.first_aid ?? say("first-aid-unknown")),
    h("p", {}, h("strong", {}, say("ambulance-way")), " ", court.ambulance_way ?? say("ambulance-unknown")));
}

async function give({ what, court_id }, answer) {
  const near = answer === "near_miss";
  const key = await tell({
    kind: "incident", incident: near ? "near_miss" : "incident", what, ...(court_id ? { court_id } : { place: say("elsewhere") }),
    anyone_hurt: near ? "no" : answer,
  });
  if (key) await show("incident-told", key);
}

/** Fills the form from what was told before. */
export const incidentFilled = ({ what, court_id }) => ({ what, court_id: court_id ?? null });

/** After it is told: a photo, if there is time for one. */
export const incidentTold = {
  begin: () => ({ pictures: [] }),

  draw(day, draft, change, key) {
    const done = async () => {
      stopRecording();
      if (draft.pictures.length) await putPictures(draft.pictures, key);
      await leave();
    };
    return [
      heading(say("incident-told")), emergency(), h("p", {}, say("incident-told-text")), pictureRows(draft, change),
      button("incident-done", say("done"), done, { kind: "main" }),
    ];
  },
};
