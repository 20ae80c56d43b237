// Keeps the page of a day in step: the office says that something changed, and the page is fetched and laid in anew.
// Where somebody has something open or is about to tell something, nothing is taken from under their hands: they are told.
const main = document.querySelector("main[data-live]");
const note = document.getElementById("live-note");
/** Several changes in a row are one reason to look. */
const LOOK_AFTER = 400;

let timer = 0;
let is_first = true;

const is_in_use = () => main.querySelector("details[open]") ?? document.activeElement?.closest("main form");

async function look() {
  const answer = await fetch(location.href, { headers: { Accept: "text/html" }, cache: "no-store" });
  // Signed out, or the way here is gone: the page says so when it is loaded again.
  if (!answer.ok || answer.redirected) return;
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const fresh = page.querySelector("main[data-live]");
  if (!fresh || fresh.innerHTML === main.innerHTML) return;
  if (is_in_use()) note.hidden = false;
  else main.replaceChildren(...fresh.childNodes);
}

const source = new EventSource(main.dataset.live);
source.addEventListener("changed", () => {
  // The first says only that somebody listens. After a break of the line, what was missed is fetched.
  if (is_first) {
    is_first = false;
    return;
  }
  clearTimeout(timer);
  timer = setTimeout(() => look().catch(() => {}), LOOK_AFTER);
});
