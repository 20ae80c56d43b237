// Keeps the whole page on the tablet, all of one version. It answers from there first, also without signal, and
// leaves everything under /api alone.

const VERSION = "__VERSION__";
const FILES = __FILES__;
const PAGE = "/tablet";
const CACHE = `tablet ${VERSION}`;

self.addEventListener("install", (event) => event.waitUntil(keepAll()));

async function keepAll() {
	const page = await fetch(PAGE, { cache: "no-cache" });
	// Between this file and the page a newer version may have come: then the next look gets both.
	if (!page.ok || !(await page.clone().text()).includes(VERSION)) throw new Error("the page is of another version");
	const cache = await caches.open(CACHE);
	await cache.addAll(FILES.filter((file) => file.startsWith(`${PAGE}/${VERSION}/`)));
	await cache.put(PAGE, page);
}

self.addEventListener("activate", (event) => event.waitUntil(dropOthers()));

async function dropOthers() {
	const names = await caches.keys();
	await Promise.all(names.filter((name) => name.startsWith("tablet ") && name !== CACHE).map((name) => caches.delete(name)));
	await self.clients.claim();
}

self.addEventListener("message", ({ data }) => data === "take-over" && self.skipWaiting());

self.addEventListener("fetch", (event) => {
	const { method, url } = event.request;
	const { origin, pathname } = new URL(url);
	const ours = origin === location.origin && (pathname === PAGE || pathname.startsWith(`${PAGE}/`));
	if (method === "GET" && ours && pathname !== `${PAGE}/sw.js`) event.respondWith(answer(event.request, pathname));
});

async function answer(request, pathname) {
	return (await caches.match(pathname, { cacheName: CACHE })) ?? fetch(request);
}
