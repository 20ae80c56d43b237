// The language follows whoever holds the tablet, until another one is asked for.

import { view } from "./day.js";
import { become, me } from "./me.js";
import { say } from "./news.js";
import { nearest, speak } from "./words.js";

export async function speakAsWished() {
	const person = view()?.people.find((one) => one.id === me.person_id);
	await speak(nearest([me.language, person?.language, ...navigator.languages]));
}

export async function speakTo(language) {
	await become({ language });
	await speak(language);
	say("view");
}

export async function heldBy(person_id) {
	await become({ person_id, language: null });
	await speakAsWished();
	say("view");
}
