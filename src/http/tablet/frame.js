// What is around every screen: who holds the tablet, what waits, and what everybody must heed now.

import { aloneStands, isWell } from "./screens/safety.js";
import { link } from "./api.js";
import { isOld, view } from "./day.js";
import { button, h, notice, p, put as lay, strong, untouched } from "./dom.js";
import { me } from "./me.js";
import { crewName } from "./names.js";
import { inState, pictureStates, put } from "./outbox.js";
import { show } from "./screens.js";
import { dateName, time } from "./shown.js";
import { say } from "./words.js";

export async function drawFrame() {
	const counts = await counted();
	await untouched();
	drawHead();
	drawStrip(counts);
	replace("alarms", alarms());
}

const replace = (id, elements) => lay(document.getElementById(id), elements);

async function counted() {
	const [events, photos] = await Promise.all([inState("waiting", "refused"), pictureStates()]);
	const mend = events.filter((event) => event.state === "refused").length;
	return { waiting: events.length - mend + photos.waiting, mend };
}

function drawHead() {
	const day = view();
	const person = day?.people.find((one) => one.id === me.person_id);
	const crew = crewName(day) || "Roundhand";
	replace("head", [
		button("now", crew, () => show("now"), { describe: say("to-now", { crew }) }),
		button("who", person?.name ?? say("who-holds"), () => show("who")),
	]);
}

function drawStrip({ waiting, mend }) {
	const line = link.state === "ok" || link.state === "unknown" ? null : say(`link-${link.state}`);
	const queue = waiting ? say("waiting", { number: waiting }) : say(link.state === "ok" ? "all-sent" : "nothing-waits");
	const text = [mend ? say("must-mend", { number: mend }) : null, line, queue].filter(Boolean).join(" · ");
	const kind = mend || link.state === "sign-in" ? "bad" : line || waiting ? "wait" : "good";
	const strip = document.getElementById("strip");
	strip.className = `is-${kind}`;
	strip.dataset.waiting = waiting;
	strip.dataset.mend = mend;
	strip.dataset.link = link.state;
	const shown = document.getElementById("strip-text");
	if (shown.textContent !== text) shown.textContent = text;
	document.getElementById("strip-open").textContent = say("outbox-open");
}

function alarms() {
	const day = view();
	const alone = aloneStands(day);
	return [
		link.state === "sign-in" && notice("bad", p(say("sign-in-again")), h("p", { class: "links" },
			h("a", { href: "/pair", data: { do: "pair" } }, say("pair-again")),
			h("a", { href: "/sign-in?next=/tablet", data: { do: "sign-in" } }, say("sign-in-as-person")))),
		day?.stop?.kind === "lightning" && notice("bad", strong(say("lightning-now")), p(day.stop.release_from
			? say("lightning-until", { time: time(day.stop.release_from) }) : say("lightning-wait"))),
		day?.heat_stops.length > 0 && notice("wait", strong(say("heat-now"))),
		isOld() && notice("wait", say("old-day", { date: dateName(day.date) })),
		alone?.due && notice("bad", strong(say(alone.missed ? "alone-missed" : "alone-due", { time: time(alone.next) })),
			button("alone-well", say("alone-well"), () => put(isWell(day)), { kind: "main", value: day.alone.watch })),
	];
}
