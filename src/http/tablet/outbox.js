// What was told on this tablet: written before anything else happens, and kept for two weeks after the answer.

import { ask, transact } from "./db.js";
import { me } from "./me.js";
import { sayToAll } from "./news.js";

const KEPT_FOR = 14 * 86_400_000;

// Answers the key once it is on the disk. `more`: `at`, `mends` (a key), `pictures` ([{ type, bytes }]), `draft` (a name).
export function put(happening, more = {}) {
	const event = {
		key: crypto.randomUUID(),
		site_id: me.site_id,
		at: more.at ?? new Date().toISOString(),
		person_id: me.person_id,
		crew_id: me.crew_id,
		mends: more.mends ?? null,
		happening,
		state: "waiting",
		answer: null,
		answered_at: null,
	};
	const written = transact(["events", "pictures", "kept"], "readwrite", async (store) => {
		store("events").add(event);
		for (const picture of more.pictures ?? []) store("pictures").add(asPicture(picture, event.key, event.site_id));
		if (more.draft) store("kept").delete(more.draft);
		if (more.mends) await replace(store, more.mends, event.key);
	}, "strict");
	return written.then(() => {
		sayToAll("told");
		return event.key;
	});
}

const asPicture = ({ type, bytes }, of_key, site_id) => ({
	key: crypto.randomUUID(), of_key, site_id, type, bytes, state: "waiting", at: new Date().toISOString(),
});

async function replace(store, old, key) {
	const refused = await ask(store("events").index("key").get(old));
	if (refused) store("events").put({ ...refused, state: "mended" });
	for (const picture of await ask(store("pictures").getAll())) {
		if (picture.of_key === old) store("pictures").put({ ...picture, of_key: key });
	}
}

export async function putPictures(pictures, of_key) {
	await transact(["pictures"], "readwrite", (store) => {
		for (const picture of pictures) store("pictures").add(asPicture(picture, of_key, me.site_id));
	}, "strict");
	sayToAll("told");
}

export const inState = (...states) => transact(["events"], "readonly", async (store) => {
	const found = await Promise.all(states.map((state) => ask(store("events").index("state").getAll(state))));
	return found.flat().sort((a, b) => a.seq - b.seq);
});

export const pending = () => inState("waiting");

export const since = (ms) => transact(["events"], "readonly", async (store) => {
	const from = IDBKeyRange.lowerBound(new Date(ms).toISOString());
	const found = await Promise.all([
		ask(store("events").index("at").getAll(from)),
		...["waiting", "refused"].map((state) => ask(store("events").index("state").getAll(state))),
	]);
	return [...new Map(found.flat().map((event) => [event.seq, event])).values()].sort((a, b) => a.seq - b.seq);
});

export const byKey = (key) => transact(["events"], "readonly", (store) => ask(store("events").index("key").get(key)));

export const pictures = () => transact(["pictures"], "readonly", (store) => ask(store("pictures").getAll()));

// Counted by an index: their bytes stay where they are.
export const pictureStates = () => transact(["pictures"], "readonly", async (store) => {
	const count = (state) => ask(store("pictures").index("state").count(state));
	return { waiting: await count("waiting"), refused: await count("refused") };
});

export async function answered(answers) {
	let found = 0;
	await transact(["events"], "readwrite", async (store) => {
		for (const answer of answers) {
			const event = await ask(store("events").index("key").get(answer.key));
			if (event?.state !== "waiting") continue;
			found += 1;
			store("events").put({ ...event, state: answer.outcome, answer, answered_at: Date.now() });
		}
	});
	sayToAll("outbox");
	return found;
}

export async function setAside(key) {
	await transact(["events"], "readwrite", async (store) => {
		const event = await ask(store("events").index("key").get(key));
		if (event?.state === "refused") store("events").put({ ...event, state: "set-aside" });
	});
	sayToAll("outbox");
}

export async function pictureAnswered(picture, taken) {
	await transact(["pictures"], "readwrite", (store) => {
		if (taken) store("pictures").delete(picture.key);
		else store("pictures").put({ ...picture, bytes: null, state: "refused" });
	});
	sayToAll("outbox");
}

export const prune = () => transact(["events", "pictures", "kept"], "readwrite", async (store) => {
	const forms = IDBKeyRange.bound("form ", "form!");
	for (const name of await ask(store("kept").getAllKeys(forms))) {
		const { kept_at } = await ask(store("kept").get(name));
		if (kept_at < Date.now() - 86_400_000) store("kept").delete(name);
	}
	const before = Date.now() - KEPT_FOR;
	for (const event of await ask(store("events").getAll())) {
		const over = !["waiting", "refused"].includes(event.state) && event.answered_at < before;
		if (over) store("events").delete(event.seq);
	}
	for (const picture of await ask(store("pictures").index("state").getAll("refused"))) {
		if (Date.parse(picture.at) < before) store("pictures").delete(picture.key);
	}
});
