// Checking tools and court parts. Nothing stands there that nobody read.

import { asked, deeds, faultsOf, picks } from "../controls.js";
import { button, group, h, heading, notice, p, part, soft, strong } from "../dom.js";
import { className, courtName, courtOf, wordOf, wordPicks } from "../names.js";
import { ownPicture } from "../own.js";
import { pictureRows } from "../pictures.js";
import { backTo, leaveButton, show, tellAndShow } from "../screens.js";
import { isUs, length, UM_PER_EIGHTH } from "../shown.js";
import { say } from "../words.js";

const VERDICTS = ["sound", "worn", "change_now"];

export const tools = {
	draw(day) {
		const choice = (value, ...label) => button("tool", label, () => show("tool", value), { value });
		const by_number = day.tools.filter((one) => one.parts.length)
			.map((one) => choice(`t${one.id}`, ownPicture("tool_class", one.class), strong(one.number), " ", className(one)));
		const by_court = day.courts.filter((court) => partsOf(day, court.id)?.length)
			.map((court) => choice(`c${court.id}`, courtName(court)));
		return [
			heading(say("tool-check")),
			part(say("by-number"), group(by_number)),
			by_court.length > 0 && part(say("nets-and-lines"), group(by_court)),
			backTo("more"),
		];
	},
};

const partsOf = (day, court_id) => courtOf(day, court_id)?.parts;

function checked(day, arg) {
	const id = Number(arg.slice(1));
	if (arg.startsWith("t")) {
		const tool = day.tools.find((one) => one.id === id);
		return tool && { of: { tool_id: id }, title: `${tool.number} · ${className(tool)}`, parts: tool.parts };
	}
	const court = day.courts.find((one) => one.id === id);
	const parts = partsOf(day, id);
	return court && parts && { of: { court_id: id }, title: courtName(court), parts };
}

export const tool = {
	begin: (day, arg) => (checked(day, arg) ? { points: {}, looks: {}, begun: {}, pictures: [] } : null),

	draw(day, draft, change, arg) {
		const thing = checked(day, arg);
		const readings = thing.parts.filter((one) => draft.points[one.id]?.length)
			.map((one) => ({ wear_part_id: one.id, points_um: draft.points[one.id], read_in: isUs() ? "in" : "mm" }));
		const by_eye = thing.parts.filter((one) => draft.looks[one.id]).map((one) => ({ wear_part_id: one.id, verdict: draft.looks[one.id] }));
		const told = { kind: "tool_check", ...thing.of, readings, by_eye };
		return [
			heading(say("tool-title", { tool: thing.title })),
			faultsOf(draft),
			thing.parts.map((one) => part(wordOf("part", one.kind), one.start_um ? measured(one, draft, change) : looked(one, draft, change))),
			part(say("show-or-say"), pictureRows(draft, change)),
			deeds(readings.length + by_eye.length > 0
					? button("give-check", say("tell-office"), () => tellAndShow(told, "tools"), { kind: "main" })
					: soft(say("tool-needs")),
				leaveButton()),
		];
	},
};

function looked(one, draft, change) {
	const title = say("by-eye");
	return picks(`look-${one.id}`, title, wordPicks("verdict", VERDICTS), draft.looks[one.id],
		(verdict) => change({ looks: { ...draft.looks, [one.id]: verdict } }));
}

// A length is two taps: inches then eighths, or tens of millimetres then single ones.
function measured(one, draft, change) {
	const [big, small, per_big, of_big, of_small] = isUs()
		? [UM_PER_EIGHTH * 8, UM_PER_EIGHTH, 8, "whole-inches", "eighths"] : [10_000, 1000, 10, "tens-of-mm", "single-mm"];
	const whole = draft.begun[one.id];
	const points = draft.points[one.id] ?? [];
	const set = (more) => change({ points: { ...draft.points, [one.id]: more }, begun: { ...draft.begun, [one.id]: undefined }, too_long: null });
	const add = (um) => (um > one.start_um ? change({ too_long: one.id }) : set([...points, um]));
	const numbers = (count, of = "") => Array.from({ length: count }, (_, n) => [n, n ? n + of : "0"]);
	return [
		p(say("new-and-limit", { start: length(one.start_um), limit: one.limit_um ? length(one.limit_um) : "–" })),
		points.length > 0 && h("p", { class: "points", data: { points: points.join(",") } }, points.map(length).join(" · "), " ",
			button("point-away", say("take-last-away"), () => set(points.slice(0, -1)), { value: one.id })),
		points.some((um) => one.limit_um && um <= one.limit_um) && notice("wait", say("at-limit")),
		draft.too_long === one.id && notice("bad", say("fault-longer-than-new")),
		asked(`whole-${one.id}`, of_big, numbers(Math.floor(one.start_um / big) + 1), whole,
			(n) => change({ begun: { ...draft.begun, [one.id]: n }, too_long: null })),
		whole !== undefined && asked(`rest-${one.id}`, of_small, numbers(per_big, isUs() ? "/8" : ""), null,
			(n) => add(whole * big + n * small)),
	];
}

export const toolFilled = ({ readings, by_eye }) => ({
	points: Object.fromEntries(readings.map((one) => [one.wear_part_id, one.points_um])),
	looks: Object.fromEntries(by_eye.map((one) => [one.wear_part_id, one.verdict])),
	begun: {}, pictures: [],
});
