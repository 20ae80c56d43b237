// The crew's tablet page: what is told is kept on the tablet first and sent when there is signal.
// How it is made, and by what tests find its buttons: README.md.

import { alone, incident, incidentTold, lightning, ringWhenDue } from "./screens/safety.js";
import * as clock from "./clock.js";
import * as day from "./day.js";
import { open } from "./db.js";
import { drawFrame } from "./frame.js";
import * as who_holds from "./me.js";
import { on } from "./news.js";
import { inState, pending, prune, put } from "./outbox.js";
import * as own from "./own.js";
import { speakAsWished } from "./person.js";
import { drawLiving, register, show, showAddressed, shownScreen } from "./screens.js";
import { close } from "./screens/close.js";
import { defect, hold } from "./screens/defect.js";
import { courts, handOver, more, note } from "./screens/more.js";
import { now, order } from "./screens/order.js";
import { outbox, readOutbox } from "./screens/outbox.js";
import { askSites, people, who } from "./screens/people.js";
import { tool, tools } from "./screens/tools.js";
import { undone } from "./screens/undone.js";
import { send } from "./sender.js";
import * as words from "./words.js";
import { install } from "./worker.js";

const TICK = 20_000;

register({
	now, order, close, undone, hold, defect, incident, "incident-told": incidentTold, alone, people, tools, tool, lightning, more, courts,
	"hand-over": handOver, note, outbox, who,
});

globalThis.roundhandOutbox = { inState, put, pending, send };

async function begin() {
	await Promise.all([words.takeUp(), open()]);
	await Promise.all([who_holds.takeUp(), clock.takeUp()]);
	await day.takeUp();
	await speakAsWished();
	listen();
	await showFirst();
	own.takeUp();
	await drawFrame();
	await askSites();
	await day.refresh();
	// The worker fetches the whole shell: on a slow line the round comes first.
	install();
	prune();
	await send();
}

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
