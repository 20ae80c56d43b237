// How times, lengths and amounts read, in the site's zone and units.

import { officeNow } from "./clock.js";
import { view } from "./day.js";
import { language } from "./words.js";

const HALF_DAY = 43_200_000;
const G_PER_LB = 453.59237;
const ML_PER_GAL = 3785.411784;
export const UM_PER_EIGHTH = 3175;

const site = () => view()?.site ?? { zone: "UTC", units: "us_customary" };
export const isUs = () => site().units === "us_customary";

// Making one is slow on an old tablet.
const formats = new Map();
function format(options, tag = language()) {
	const whole = { timeZone: site().zone, ...options };
	const name = tag + JSON.stringify(whole);
	if (!formats.has(name)) formats.set(name, new Intl.DateTimeFormat(tag, whole));
	return formats.get(name);
}
const offsetName = (ms) => (
	format({ timeZoneName: "longOffset" }).formatToParts(ms).find((part) => part.type === "timeZoneName").value
);

// With the zone when the clocks change that day, since a time may come twice.
export function time(at) {
	const ms = typeof at === "number" ? at : Date.parse(at);
	const change = offsetName(ms - HALF_DAY) !== offsetName(ms + HALF_DAY);
	return format({
		hour: isUs() ? "numeric" : "2-digit", minute: "2-digit", hour12: isUs(), ...(change ? { timeZoneName: "short" } : {}),
	}).format(ms);
}

export function when(at) {
	const ms = typeof at === "number" ? at : Date.parse(at);
	if (dateOf(ms) === dateOf(officeNow())) return time(ms);
	return `${format({ weekday: "short", month: "short", day: "numeric" }).format(ms)}, ${time(ms)}`;
}

export const dateName = (date) => format({ timeZone: "UTC", weekday: "long", month: "long", day: "numeric" })
	.format(new Date(`${date}T00:00:00Z`));

export const dateShort = (date) => format({ timeZone: "UTC", month: "short", day: "numeric" }).format(new Date(`${date}T00:00:00Z`));

const dateOf = (ms) => format({}, "sv-SE").format(ms);

export function atHour(hour, days) {
	const date = new Date(`${dateOf(officeNow())}T00:00:00Z`).getTime() + days * 2 * HALF_DAY;
	const wanted = date + hour * 3_600_000;
	// Two looks suffice: the first may lie on the other side of a change of clocks.
	let at = wanted;
	for (let look = 0; look < 2; look += 1) at = wanted - ahead(at);
	return at;
}

function ahead(ms) {
	const sign = /GMT([+-])(\d\d):(\d\d)/.exec(offsetName(ms));
	if (!sign) return 0;
	return (sign[1] === "-" ? -1 : 1) * (Number(sign[2]) * 60 + Number(sign[3])) * 60_000;
}

const unit = (value, of, digits) => new Intl.NumberFormat(language(), {
	style: "unit", unit: of, unitDisplay: "short", maximumFractionDigits: digits,
}).format(value);

export function minutes(number) {
	const [hours, rest] = [Math.floor(number / 60), Math.round(number % 60)];
	return [hours ? unit(hours, "hour", 0) : "", rest || !hours ? unit(rest, "minute", 0) : ""].filter(Boolean).join(" ");
}

export function amount(quantity, of) {
	if (of === "gram") return isUs() ? unit(quantity / G_PER_LB, "pound", 1) : unit(quantity / 1000, "kilogram", 2);
	if (of === "millilitre") return isUs() ? unit(quantity / ML_PER_GAL, "gallon", 2) : unit(quantity / 1000, "liter", 2);
	return String(quantity);
}

export function tapOf(material) {
	if (material.pack_quantity) return material.pack_quantity;
	if (material.unit === "gram") return isUs() ? Math.round(10 * G_PER_LB) : 5000;
	if (material.unit === "millilitre") return isUs() ? Math.round(ML_PER_GAL / 4) : 1000;
	return 1;
}

export function length(um) {
	if (!isUs()) return unit(um / 1000, "millimeter", 1);
	const eighths = Math.round(um / UM_PER_EIGHTH);
	const [whole, rest] = [Math.floor(eighths / 8), eighths % 8];
	return [whole || !rest ? String(whole) : "", rest ? `${rest}/8` : ""].filter(Boolean).join(" ") + " in";
}

// A length is read in two taps: whole inches then eighths, or tens of millimetres then single ones.
export const steps = () => (isUs()
	? { us: true, big: UM_PER_EIGHTH * 8, small: UM_PER_EIGHTH, count: 8, of_big: "whole-inches", of_small: "eighths", behind: "/8" }
	: { us: false, big: 10_000, small: 1000, count: 10, of_big: "tens-of-mm", of_small: "single-mm", behind: "" });

const measure = (per_us, us, metric, digits) => (value) => (
	isUs() ? unit(value / per_us, us, 0) : unit(value / 1000, metric, digits));

export const distance = measure(304.8, "foot", "meter", 1);
export const wind = measure(447.04, "mile-per-hour", "meter-per-second", 0);

export const air = (mc) => (isUs() ? unit((mc / 1000) * 1.8 + 32, "fahrenheit", 0) : unit(mc / 1000, "celsius", 0));
