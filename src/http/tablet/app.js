// The crew's tablet page: what is told is kept on the tablet first and sent when there is signal.
//
// What tests and helpers find it by; these stay as they are. Every button has data-do, most data-value (an id or a code).
//   frame      #head: now, who · #strip[data-waiting][data-mend][data-link]: outbox · #strip-text (aria-live)
//              #alarms: pair, sign-in (links), alone-well
//   screen     #screen[data-screen=NAME], address #/NAME/ARG; its h1 has the focus when it opens
//   now, order (ORDER)  start, close, undone, take-back =ORDER · hold, defect =COURT · more · order =ORDER (the round)
//              .pace[data-behind=MINUTES]
//   close (ORDER)  all-as-planned, looked-over, step =POSITION, person =ID, minutes-ID-less, minutes-ID-more, more-person,
//              add-person =ID, material-ID-less, material-ID-more, more-material, add-material =ID, leave,
//              fit-yes, fit-not-yet, fit-held, until =MS, held-why =REASON, give-all-the-same; output[data-of][data-value]
//              with a chemical: amount-less, amount-more, treatment-person, treatment-place, treatment-wind, [name=lot]
//   undone (ORDER)  reason =REASON, step, person …, [name=note], give-undone, leave
//   hold (COURT)  reason =REASON, [name=note], give-hold, leave
//   defect (COURT)  kind =KIND, place, photo (input), voice, [data-pictures], [name=note], give-defect, leave
//   incident   what =WHAT, court =ID, hurt =yes|no|unknown|near_miss, leave · incident-told (KEY)  photo, voice, incident-done
//   alone      alone-begin, alone-well, alone-end, more
//   people     li[data-person][data-clock]: clock-in, clock-break-start, clock-break-end, clock-out, leaves =PERSON · joins =PERSON
//   tools      tool =tID|cID · tool (tID|cID)  whole-PART =N, rest-PART =N, point-away =PART, [data-points], look-PART =VERDICT,
//              photo, voice, give-check, leave
//   lightning  lightning-tell · more (ORDER)  incident, lightning, alone, people, tools, courts, outbox, who, hand-over,
//              note, language =TAG, now · hand-over (ORDER)  crew =ID · note (ORDER)  [name=text], give-note · courts (COURT)  court,
//              hold, defect
//   outbox     li[data-key]: mend =KEY, set-aside =KEY · send-now
//   who        again, site =ID, crew =ID, person =ID, language =TAG, now
import { ringWhenDue } from "./alone.js";
import * as clock from "./clock.js";
import * as day from "./day.js";
import { open } from "./db.js";
import { drawFrame } from "./frame.js";
import "./live.js";
import * as who_holds from "./me.js";
import { on } from "./news.js";
import { pending, prune, put } from "./outbox.js";
import { speakAsWished } from "./person.js";
import { drawLiving, register, show, showAddressed, shownScreen } from "./screens.js";
import { alone } from "./screens/alone.js";
import { close } from "./screens/close.js";
import { defect } from "./screens/defect.js";
import { hold } from "./screens/hold.js";
import { incident, incidentTold } from "./screens/incident.js";
import { lightning } from "./screens/lightning.js";
import { courts, handOver, more, note } from "./screens/more.js";
import { now } from "./screens/now.js";
import { order } from "./screens/order.js";
import { outbox, readOutbox } from "./screens/outbox.js";
import { people } from "./screens/people.js";
import { tool, tools } from "./screens/tools.js";
import { undone } from "./screens/undone.js";
import { askSites, who } from "./screens/who.js";
import { send } from "./sender.js";
import * as words from "./words.js";
import { install } from "./worker.js";

const TICK = 20_000;

register({
  now, order, close, undone, hold, defect, incident, "incident-told": incidentTold, alone, people, tools, tool, lightning, more, courts,
  "hand-over": handOver, note, outbox, who,
});

/** For tests and for whoever looks after a tablet: tell, see what waits, send. */
globalThis.roundhandOutbox = { put, pending, send };

async function begin() {
  await Promise.all([words.takeUp(), open()]);
  await Promise.all([who_holds.takeUp(), clock.takeUp()]);
  await day.takeUp();
  await speakAsWished();
  listen();
  await showFirst();
  await drawFrame();
  install();
  prune();
  await askSites();
  await day.refresh();
  await send();
}

/** The screen that the address names; the choice of crew and person until both are known. */
async function showFirst() {
  const { crew_id, person_id } = who_holds.me;
  if (day.view() && crew_id && person_id) await showAddressed("now");
  else await show("who");
}

function listen() {
  const drawAll = async () => {
    if (shownScreen() === "outbox") await readOutbox();
    await drawLiving();
    await drawFrame();
  };
  on("view", drawAll);
  on("link", drawAll);
  document.getElementById("strip-open").addEventListener("click", async () => {
    await readOutbox();
    await show("outbox");
  });
  addEventListener("popstate", showFirst);
  setInterval(() => {
    ringWhenDue();
    drawAll();
  }, TICK);
}

begin().catch((why) => {
  document.getElementById("not-begun").hidden = false;
  console.error(why);
});
