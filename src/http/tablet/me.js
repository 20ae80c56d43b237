// Who holds the tablet; `language` where it is not the person's own.

import { keep, kept } from "./db.js";

export const me = { site_id: null, crew_id: null, person_id: null, language: null };

export async function takeUp() {
	Object.assign(me, await kept("me"));
}

export async function become(changes) {
	Object.assign(me, changes);
	await keep("me", { ...me });
}
