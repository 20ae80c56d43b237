// Asking the office: one request with a time limit, and how the line to it stands.

import { say } from "./news.js";

const LONGEST_WAIT = 20_000;

export const link = { state: "unknown" };

export function stands(state) {
	if (link.state === state) return;
	link.state = state;
	say("link");
}

const BY_STATUS = { 401: "sign-in", 403: "not-allowed" };

// `{ status, headers, body }`; null without signal, or where something else answered, as a hotel's sign-in page does.
export async function request(path, options = {}) {
	const limit = new AbortController();
	const timer = setTimeout(() => limit.abort(), LONGEST_WAIT);
	try {
		const response = await fetch(path, { credentials: "same-origin", cache: "no-store", ...options, signal: limit.signal });
		const type = response.headers.get("Content-Type") ?? "";
		const text = await response.text();
		const body = type.includes("json") && text ? JSON.parse(text) : null;
		if (response.ok && text && !body) throw new Error("this is not the office's answer");
		stands(BY_STATUS[response.status] ?? (response.status >= 500 ? "trouble" : "ok"));
		return { status: response.status, headers: response.headers, body };
	} catch {
		stands("no-signal");
		return null;
	} finally {
		clearTimeout(timer);
	}
}

addEventListener("offline", () => stands("no-signal"));
