// Who works alone checks in at the site's interval. Without signal, or while a check-in waits, the office cannot see it.

import { link } from "./api.js";
import { officeNow } from "./clock.js";
import { view } from "./day.js";

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
export function allowSound() {
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
