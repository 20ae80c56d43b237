// Screens show the office's time; what is told carries the tablet's own, and the office puts it right.

import { keep, kept } from "./db.js";

let ahead = 0;

export async function takeUp() {
	ahead = (await kept("clock")) ?? 0;
}

export function heard(now, from, to) {
	const office = Date.parse(now);
	if (Number.isNaN(office)) return;
	ahead = Math.round(office - (from + to) / 2);
	keep("clock", ahead);
}

export const officeNow = () => Date.now() + ahead;

export const toOffice = (text) => Date.parse(text) + ahead;

export const toDevice = (ms) => new Date(ms - ahead).toISOString();
