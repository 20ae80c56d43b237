// Listens for changes at the office while there is signal; the day itself is fetched anew.

import { link } from "./api.js";
import { refresh } from "./day.js";
import { me } from "./me.js";
import { on } from "./news.js";
import { send } from "./sender.js";

const LOOK_AFTER = 400;

let source = null;
let of_site = null;
let timer = 0;

function listen() {
	if (!me.site_id || link.state !== "ok") return;
	if (source && of_site === me.site_id && source.readyState !== EventSource.CLOSED) return;
	source?.close();
	of_site = me.site_id;
	source = new EventSource(`/api/v1/sites/${of_site}/live`);
	source.addEventListener("changed", look);
	// It was away and is back: what changed meanwhile was not said.
	source.onopen = look;
}

function look() {
	clearTimeout(timer);
	timer = setTimeout(() => { refresh(); send(); }, LOOK_AFTER);
}

on("link", listen);
on("day", listen);
