// Sends the outbox: in order, by one window at a time, again and again until the office has answered.

import { link, request, stands } from "./api.js";
import { heard } from "./clock.js";
import { on, say } from "./news.js";
import { answered, byKey, inState, pending, pictureAnswered, pictures } from "./outbox.js";

const MOST = 20;
const PAUSES_S = [2, 5, 10, 30, 60, 120, 300];
// Faults of what was sent. All else is a matter of the line or the office, and waits.
const OF_WHAT_WAS_SENT = [400, 409, 413, 415, 422];
const PASSES = [401, 403, 408, 425, 429];

const SUBJECTS = { defect: "defect", incident: "incident", hold: "court" };

let failed = 0;
// The office asked to be left alone until then.
let not_before = 0;
let timer = 0;
let running = null;
let again = false;

export function send() {
	again = true;
	running ??= navigator.locks.request("roundhand-sender", async () => {
		while (again) {
			again = false;
			await sendAll();
		}
	}).finally(() => { running = null; });
	return running;
}

async function sendAll() {
	if (Date.now() < not_before) return;
	clearTimeout(timer);
	// A site that takes nothing from this tablet any more does not hold up another's.
	const passed = new Set();
	let one_by_one = 0;
	for (;;) {
		const waiting = (await pending()).filter((event) => !passed.has(event.site_id));
		if (!waiting.length) break;
		const { site_id } = waiting[0];
		const batch = waiting.filter((event) => event.site_id === site_id).slice(0, one_by_one > 0 ? 1 : MOST);
		const after = await sendBatch(batch);
		if (after === "wait") passed.add(site_id);
		if (link.state === "no-signal") return;
		one_by_one = after === "split" ? batch.length : one_by_one - 1;
	}
	if (!passed.size && await sendPictures()) failed = 0;
}

// `done`, `split` (send each alone: one of them is at fault) or `wait`.
async function sendBatch(batch) {
	const from = Date.now();
	const events = batch.map(({ key, at, person_id, crew_id, mends, happening }) => ({ key, at, person_id, crew_id, mends, happening }));
	const answer = await request(`/api/v1/sites/${batch[0].site_id}/tablet/events`, {
		method: "POST",
		headers: { "Content-Type": "application/json" },
		body: JSON.stringify({ sent_at: new Date(from).toISOString(), events }),
	});
	if (answer && OF_WHAT_WAS_SENT.includes(answer.status)) {
		if (batch.length > 1) return "split";
		await answered([refusal(batch[0].key, answer.body)]);
		return "done";
	}
	if (answer?.status !== 200 || !Array.isArray(answer.body?.answers)) return later(answer);
	heard(answer.body.now, from, Date.now());
	const known = answer.body.answers.filter((one) => ["taken", "noted", "refused"].includes(one.outcome));
	const found = await answered(known);
	if (!found) return later(answer);
	failed = 0;
	say("sent");
	return "done";
}

const refusal = (key, problem) => ({
	key, outcome: "refused", code: null, order: null, detail: problem?.detail ?? problem?.title ?? null, errors: problem?.errors ?? [],
});

function later(answer) {
	if (answer?.status === 401) return "wait";
	if (answer && answer.status < 500 && !PASSES.includes(answer.status)) stands("trouble");
	const asked = Number(answer?.headers.get("Retry-After"));
	const pause = PAUSES_S[Math.min(failed, PAUSES_S.length - 1)] * (0.8 + 0.4 * Math.random());
	failed += 1;
	if (asked > 0) not_before = Date.now() + 1000 * asked;
	timer = setTimeout(send, 1000 * (asked > 0 ? asked + 0.1 : pause));
	return "wait";
}

/** What a picture is of, by what was told with it. */
const subjectOf = ({ kind, tool_id } = {}) => (kind === "tool_check" ? (tool_id ? "tool" : "court") : SUBJECTS[kind] ?? "order");

async function sendPictures() {
	const held_back = (await inState("waiting", "refused")).map((event) => event.key);
	for (const picture of await pictures()) {
		if (picture.state !== "waiting" || held_back.includes(picture.of_key)) continue;
		const of = subjectOf((await byKey(picture.of_key))?.happening);
		const answer = await request(`/api/v1/sites/${picture.site_id}/pictures?subject=${of}&of_key=${picture.of_key}`, {
			method: "POST",
			headers: { "Content-Type": picture.type, "Idempotency-Key": picture.key },
			body: picture.bytes,
		});
		const status = answer?.status ?? 0;
		const final = status >= 400 && status < 500 && !PASSES.includes(status);
		if (status !== 200 && status !== 201 && !final) {
			later(answer);
			return false;
		}
		await pictureAnswered(picture, !final);
	}
	return true;
}

on("told", send);
addEventListener("online", send);
document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && send());
