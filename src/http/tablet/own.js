// The site's own pictures for its things: fetched beside the day, and kept for when there is no signal.

import { view } from "./day.js";
import { keep, kept } from "./db.js";
import { h } from "./dom.js";
import { on, say } from "./news.js";

const addresses = new Map();

const path = (site, id) => `/api/v1/sites/${site}/pictures/${id}/thumbnail`;

async function fetched(site, id) {
	try {
		const answer = await fetch(path(site, id), { credentials: "same-origin" });
		return answer.ok ? { type: answer.headers.get("Content-Type"), bytes: await answer.arrayBuffer() } : null;
	} catch {
		return null;
	}
}

// Only those that some word names stay on the tablet.
export async function takeUp() {
	const day = view();
	if (!day) return;
	const { id: site } = day.site;
	const wanted = [...new Set(day.site_words.map((word) => word.picture_id).filter(Boolean))];
	if (wanted.every((id) => addresses.has(path(site, id)))) return;
	const had = (await kept(`pictures ${site}`)) ?? {};
	const have = {};
	for (const id of wanted) {
		const picture = had[id] ?? (await fetched(site, id));
		if (!picture) continue;
		have[id] = picture;
		if (!addresses.has(path(site, id))) addresses.set(path(site, id), URL.createObjectURL(new Blob([picture.bytes], { type: picture.type })));
	}
	await keep(`pictures ${site}`, have);
	say("view");
}

// Beside its name, which says the same: nothing for those who do not see it.
export function ownPicture(kind, subject) {
	const day = view();
	const words = day?.site_words.filter((word) => word.picture_id && word.subject_kind === kind && word.subject === String(subject)) ?? [];
	const src = words.map((word) => addresses.get(path(day.site.id, word.picture_id))).find(Boolean);
	return src ? h("img", { class: "own", src, alt: "" }) : null;
}

on("day", takeUp);
