// The service worker keeps the page on the tablet; a newer page is taken over when no form is open.

import { on } from "./news.js";
import { formIsOpen } from "./screens.js";

const LOOKS_EVERY = 15 * 60_000;

let waiting = null;
let changed = false;

export async function install() {
	if (!("serviceWorker" in navigator)) return;
	const was_kept = Boolean(navigator.serviceWorker.controller);
	navigator.serviceWorker.addEventListener("controllerchange", () => {
		changed = was_kept;
		takeOver();
	});
	try {
		const registration = await navigator.serviceWorker.register("/tablet/sw.js", { scope: "/tablet" });
		watch(registration);
		setInterval(() => registration.update().catch(() => {}), LOOKS_EVERY);
	} catch { /* without it the page works while there is signal */ }
}

function watch(registration) {
	const look = () => {
		waiting = registration.waiting;
		takeOver();
	};
	look();
	registration.addEventListener("updatefound", () => registration.installing?.addEventListener("statechange", look));
}

function takeOver() {
	if (formIsOpen()) return;
	if (changed) location.reload();
	else waiting?.postMessage("take-over");
}

on("screen", takeOver);
