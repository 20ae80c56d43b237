// What was told on this tablet. It is written here before anything else happens, in the order in which it was told,
// and stays for two weeks after the office has answered.
//
// An event: { seq, key, site_id, at, person_id, crew_id, mends, happening, state, answer, answered_at }
//   waiting    not sent, or sent and not answered        taken      done
//   noted      came too late; stands as a note           refused    must be mended
//   mended     a later event stands in its place         set-aside  somebody let it be

import { ask, transact } from "./db.js";
import { me } from "./me.js";
import { sayToAll } from "./news.js";

const KEPT_FOR = 14 * 86_400_000;

/**
 * Takes what happened into the outbox; answers its key once it is on the disk. The transaction begins in this very
 * tick. `more`: `at` (when, this tablet's clock; now), `mends` (key of the refused event in whose place it comes),
 * `pictures` ([{ type, bytes }]) and `draft` (name of the form that is done with it).
 */
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

/** The refused event is mended; its pictures go with the new one. */
async function replace(store, old, key) {
  const refused = await ask(store("events").index("key").get(old));
  if (refused) store("events").put({ ...refused, state: "mended" });
  for (const picture of await ask(store("pictures").getAll())) {
    if (picture.of_key === old) store("pictures").put({ ...picture, of_key: key });
  }
}

/** Adds pictures to an event that was told before. */
export async function putPictures(pictures, of_key) {
  await transact(["pictures"], "readwrite", (store) => {
    for (const picture of pictures) store("pictures").add(asPicture(picture, of_key, me.site_id));
  }, "strict");
  sayToAll("told");
}

/** Events in one of these states, oldest first. */
export const inState = (...states) => transact(["events"], "readonly", async (store) => {
  const found = await Promise.all(states.map((state) => ask(store("events").index("state").getAll(state))));
  return found.flat().sort((a, b) => a.seq - b.seq);
});

/** What is not sent yet, oldest first. */
export const pending = () => inState("waiting");

/** What was told since an instant of this tablet's clock, and whatever waits or must be mended, oldest first. */
export const since = (ms) => transact(["events"], "readonly", async (store) => {
  const from = IDBKeyRange.lowerBound(new Date(ms).toISOString());
  const found = await Promise.all([
    ask(store("events").index("at").getAll(from)),
    ...["waiting", "refused"].map((state) => ask(store("events").index("state").getAll(state))),
  ]);
  return [...new Map(found.flat().map((event) => [event.seq, event])).values()].sort((a, b) => a.seq - b.seq);
});

/** The event with this key. */
export const byKey = (key) => transact(["events"], "readonly", (store) => ask(store("events").index("key").get(key)));

/** The pictures that are kept, without their bytes unless asked for. */
export const pictures = (withBytes = false) => transact(["pictures"], "readonly", async (store) => (
  (await ask(store("pictures").getAll())).map((picture) => (withBytes ? picture : { ...picture, bytes: null }))
));

/** Writes the office's answers; each takes its event off the queue in the same step. */
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

/** Lets a refused event be: it stays in the list, and nobody is asked for it any more. */
export async function setAside(key) {
  await transact(["events"], "readwrite", async (store) => {
    const event = await ask(store("events").index("key").get(key));
    if (event?.state === "refused") store("events").put({ ...event, state: "set-aside" });
  });
  sayToAll("outbox");
}

/** A picture is with the office, or was refused for good: its bytes go, a refusal stays to be shown. */
export async function pictureAnswered(picture, taken) {
  await transact(["pictures"], "readwrite", (store) => {
    if (taken) store("pictures").delete(picture.key);
    else store("pictures").put({ ...picture, bytes: null, state: "refused" });
  });
  sayToAll("outbox");
}

/** Forgets what is over since two weeks. */
export const prune = () => transact(["events", "pictures"], "readwrite", async (store) => {
  const before = Date.now() - KEPT_FOR;
  for (const event of await ask(store("events").getAll())) {
    const over = !["waiting", "refused"].includes(event.state) && event.answered_at < before;
    if (over) store("events").delete(event.seq);
  }
  for (const picture of await ask(store("pictures").index("state").getAll("refused"))) {
    if (Date.parse(picture.at) < before) store("pictures").delete(picture.key);
  }
});
