// The tablet's own store: one database, its steps from version to version, and one door to a transaction.
//
//   events    what was told, in the order in which it was told (see outbox.js)
//   pictures  photos and voice notes that belong to an event
//   kept      small things by name: who holds the tablet, the last day, half-filled forms

const NAME = "roundhand";

// Step N brings a store of version N to version N + 1. A step that has been out is never changed: what waits to be
// sent lives through every one of them.
const STEPS = [
  (db) => {
    const events = db.createObjectStore("events", { keyPath: "seq", autoIncrement: true });
    events.createIndex("key", "key", { unique: true });
    events.createIndex("state", "state");
    events.createIndex("at", "at");
    const pictures = db.createObjectStore("pictures", { keyPath: "key" });
    pictures.createIndex("state", "state");
    db.createObjectStore("kept");
  },
];

let database = null;

/** Opens the store; what is told later is then written in the tick in which it is told. */
export function open() {
  if (database) return Promise.resolve();
  return new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, STEPS.length);
    request.onupgradeneeded = ({ oldVersion }) => STEPS.slice(oldVersion).forEach((step) => step(request.result));
    request.onerror = () => reject(request.error);
    request.onsuccess = () => {
      database = request.result;
      // A newer page in another window waits for this one to let go.
      request.result.onversionchange = () => {
        request.result.close();
        database = null;
      };
      request.result.onclose = () => { database = null; };
      resolve();
    };
  });
}

/** The result of one request. */
export const ask = (request) => new Promise((resolve, reject) => {
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error);
});

/**
 * Runs `work(store)` in one transaction over `stores` and answers its result once all of it is written, or nothing.
 * `strict`: only when it is on the disk itself, which takes longer.
 */
export async function transact(stores, mode, work, durability = "relaxed") {
  if (!database) await open();
  const tx = database.transaction(stores, mode, { durability });
  const written = new Promise((resolve, reject) => {
    tx.oncomplete = resolve;
    tx.onabort = () => reject(tx.error ?? new Error("nothing was written"));
  });
  let result;
  try {
    [result] = await Promise.all([work((name) => tx.objectStore(name)), written]);
  } catch (why) {
    try { tx.abort(); } catch { /* it has ended already */ }
    throw why;
  }
  return result;
}

/** What is kept under a name. */
export const kept = (name) => transact(["kept"], "readonly", (store) => ask(store("kept").get(name)));

/** Keeps a value under a name; nothing where it is `undefined`. */
export const keep = (name, value) => transact(["kept"], "readwrite", (store) => (
  ask(value === undefined ? store("kept").delete(name) : store("kept").put(value, name))
));
