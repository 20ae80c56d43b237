// Who works alone checks in at the site's interval. Whether the office can see it is said as it is: without signal,
// or while a check-in waits to be sent, it cannot.

import { link } from "./api.js";
import { officeNow } from "./clock.js";
import { view } from "./day.js";

/** A check-in that is this much late counts as missed. */
const LATE = 60_000;
const SOUND_HZ = 880;

let sound = null;

/** How it stands: `{ next, due, missed, seen }`, or null where nobody works alone or the site asks for no check-in. */
export function aloneStands(day) {
  if (!day?.alone || !day.alone_every_min) return null;
  const next = day.alone.at + day.alone_every_min * 60_000;
  const now = officeNow();
  return { next, due: now >= next, missed: now >= next + LATE, seen: link.state === "ok" && !day.alone.waits };
}

/** What is told by whoever checks in, or ends it. */
export const isWell = ({ alone: { watch, court_id } }, event = "well") => ({
  kind: "alone", watch, event, ...(court_id ? { court_id } : {}),
});

/** A tap lets the browser play sound later. */
export function allowSound() {
  sound ??= "AudioContext" in globalThis ? new AudioContext() : null;
}

/** Rings and shakes while a check-in is due. */
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
