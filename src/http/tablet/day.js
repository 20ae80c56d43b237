// The office's day: fetched when there is signal, kept for when there is none, shown with what was told since.

import { link, request, stands } from "./api.js";
import { applied } from "./applied.js";
import { heard } from "./clock.js";
import { keep, kept } from "./db.js";
import { me } from "./me.js";
import { on, say, sayToAll } from "./news.js";
import { since } from "./outbox.js";
import { send } from "./sender.js";

const TOLD_FOR = 36 * 3_600_000;
const LOOKS_EVERY = 5 * 60_000;

let last = null;
let shown = null;

export const view = () => shown;

const name = () => `day ${me.site_id} ${me.crew_id ?? 0}`;

export async function takeUp() {
	last = me.site_id ? ((await kept(name())) ?? null) : null;
	await lay();
}

async function lay() {
	if (!last) shown = null;
	else {
		const events = (await since(Date.now() - TOLD_FOR)).filter((event) => event.site_id === last.site_id);
		shown = applied(last.day, last.asked_at, events);
	}
	say("view");
}

let fetching = null;
let once_more = false;

export function refresh() {
	once_more = true;
	fetching ??= (async () => {
		while (once_more) {
			once_more = false;
			await fetchDay();
		}
	})().finally(() => { fetching = null; });
	return fetching;
}

async function fetchDay() {
	if (!me.site_id) return;
	const { site_id, crew_id } = me;
	const asked_at = Date.now();
	const same = last?.site_id === site_id && last.crew_id === crew_id;
	const answer = await request(`/api/v1/sites/${site_id}/tablet${crew_id ? `?crew_id=${crew_id}` : ""}`, {
		headers: same && last.etag ? { "If-None-Match": last.etag } : {},
	});
	if (site_id !== me.site_id || crew_id !== me.crew_id) return;
	if (answer?.status === 304 && same) last = { ...last, asked_at };
	else if (answer?.status === 200 && Array.isArray(answer.body?.round)) {
		heard(answer.body.now, asked_at, Date.now());
		last = { site_id, crew_id, etag: answer.headers.get("ETag"), asked_at, day: answer.body };
	} else {
		if (answer?.status === 404) stands("trouble");
		return;
	}
	await keep(name(), last);
	await lay();
	sayToAll("day");
}

export const sites = async () => (await request("/api/v1/sites"))?.body?.items ?? null;

// By when the office was asked, not by its date: a night shift works on yesterday's.
export function isOld() {
	if (!last) return false;
	const date = (ms) => new Intl.DateTimeFormat("sv-SE", { timeZone: last.day.site.zone }).format(ms);
	return date(last.asked_at) !== date(Date.now());
}

// Another window may have fetched the day: what it kept is what counts.
on("day", takeUp);
on("told", lay);
on("outbox", lay);
on("sent", refresh);
addEventListener("online", refresh);
document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && refresh());
setInterval(refresh, LOOKS_EVERY);

const LOOK_AFTER = 400;

let source = null;
let of_site = null;
let timer = 0;

function listen() {
	if (!me.site_id || link.state !== "ok") return;
	if (source && of_site === me.site_id && source.readyState !== EventSource.CLOSED) return;
	source?.close();
	of_site = me.site_id;
	source = new EventSource(`/api/v1/sites/${of_site}/live`);
	source.addEventListener("changed", look);
	// It was away and is back: what changed meanwhile was not said.
	source.onopen = look;
}

function look() {
	clearTimeout(timer);
	timer = setTimeout(() => { refresh(); send(); }, LOOK_AFTER);
}

on("link", listen);
on("day", listen);
