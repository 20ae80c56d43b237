// The tablet's own store: one database, its steps from version to version, and one door to a transaction.

const NAME = "roundhand";

// Each brings the store one version on. One that has been out is never changed.
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

export const ask = (request) => new Promise((resolve, reject) => {
	request.onsuccess = () => resolve(request.result);
	request.onerror = () => reject(request.error);
});

// All of it is written or nothing. `strict`: answers when it is on the disk itself, which takes longer.
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

export const kept = (name) => transact(["kept"], "readonly", (store) => ask(store("kept").get(name)));

export const keep = (name, value) => transact(["kept"], "readwrite", (store) => (
	ask(value === undefined ? store("kept").delete(name) : store("kept").put(value, name))
));
