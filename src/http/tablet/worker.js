// The service worker keeps the page on the tablet. A newer page is fetched in the background and taken over when no
// form is open.

import { on } from "./news.js";
import { formIsOpen } from "./screens.js";

const LOOKS_EVERY = 15 * 60_000;

let looked_at = Date.now();
let waiting = null;
let changed = false;

/** Puts the worker to work; answers nothing, since the page goes on without it. */
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
    on("day", () => lookForNewer(registration));
  } catch { /* without it the page works while there is signal */ }
}

/** There is signal: now and then a newer page is looked for. */
function lookForNewer(registration) {
  if (Date.now() - looked_at < LOOKS_EVERY) return;
  looked_at = Date.now();
  registration.update().catch(() => {});
}

function watch(registration) {
  const look = () => {
    waiting = registration.waiting;
    takeOver();
  };
  look();
  registration.addEventListener("updatefound", () => registration.installing?.addEventListener("statechange", look));
}

/** Takes the newer page over, unless somebody is in the middle of something. */
function takeOver() {
  if (formIsOpen()) return;
  if (changed) location.reload();
  else waiting?.postMessage("take-over");
}

on("screen", takeOver);
