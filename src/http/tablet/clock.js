// The office's clock against the tablet's own. Screens show office time; what is told carries the tablet's time, and
// the office puts it right when it comes.

import { keep, kept } from "./db.js";

let ahead = 0;

/** Takes up how far the office's clock was ahead when it was last heard. */
export async function takeUp() {
  ahead = (await kept("clock")) ?? 0;
}

/** The office said its time is `now`; the request left at `from` and the answer was here at `to`, both Date.now(). */
export function heard(now, from, to) {
  const office = Date.parse(now);
  if (Number.isNaN(office)) return;
  ahead = Math.round(office - (from + to) / 2);
  keep("clock", ahead);
}

/** Now by the office's clock, ms. */
export const officeNow = () => Date.now() + ahead;

/** What the tablet's clock wrote, as ms of the office's. */
export const toOffice = (text) => Date.parse(text) + ahead;

/** An instant of the office's clock, as the tablet's would write it. */
export const toDevice = (ms) => new Date(ms - ahead).toISOString();
