// The language follows whoever holds the tablet, until another one is asked for.

import { view } from "./day.js";
import { become, me } from "./me.js";
import { say } from "./news.js";
import { nearest, speak } from "./words.js";

/** Speaks as the person wishes, else as the browser does. */
export async function speakAsWished() {
  const person = view()?.people.find((one) => one.id === me.person_id);
  await speak(nearest([me.language, person?.language, ...navigator.languages]) ?? "en-US");
}

/** Another language for this person on this tablet. */
export async function speakTo(language) {
  await become({ language });
  await speak(language);
  say("view");
}

/** Somebody else holds the tablet. */
export async function heldBy(person_id) {
  await become({ person_id, language: null });
  await speakAsWished();
  say("view");
}
