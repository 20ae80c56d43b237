// Checking tools and court parts. Nothing stands there that nobody read.

import { asked, deeds, faultsOf, picks } from "../controls.js";
import { button, group, h, heading, notice, p, part, soft, strong } from "../dom.js";
import { className, courtName, courtOf, wordOf, wordPicks } from "../names.js";
import { ownPicture } from "../own.js";
import { pictureRows } from "../pictures.js";
import { backTo, leaveButton, show, tellAndShow } from "../screens.js";
import { dateShort, isUs, length, steps } from "../shown.js";
import { say } from "../words.js";
import { net, netFilled, netTold } from "./net.js";

const VERDICTS = ["sound", "worn", "change_now"];

export const tools = {
	draw(day) {
		const choice = (value, ...label) => button("tool", label, () => show("tool", value), { value });
		const by_number = day.tools.filter((one) => one.parts.length)
			.map((one) => choice(`t${one.id}`, ownPicture("tool_class", one.class), strong(one.number), " ", className(one)));
		const by_court = day.courts.map((court) => choice(`c${court.id}`, courtName(court)));
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
	return court && { of: { court_id: id }, title: courtName(court), parts: partsOf(day, id) ?? [], is_court: true };
}

export const tool = {
	begin: (day, arg) => (checked(day, arg) ? { points: {}, looks: {}, begun: {}, sure: {}, net: {}, pictures: [] } : null),

	draw(day, draft, change, arg) {
		const thing = checked(day, arg);
		const readings = thing.parts.filter((one) => draft.points[one.id]?.length)
			.map((one) => ({ wear_part_id: one.id, points_um: draft.points[one.id], read_in: isUs() ? "in" : "mm" }));
		const by_eye = thing.parts.filter((one) => draft.looks[one.id]).map((one) => ({ wear_part_id: one.id, verdict: draft.looks[one.id] }));
		const told = { kind: "tool_check", ...thing.of, readings, by_eye, ...netTold(draft.net) };
		return [
			heading(say("tool-title", { tool: thing.title })),
			faultsOf(draft),
			thing.is_court && net(draft, change),
			thing.parts.map((one) => part(wordOf("part", one.kind), one.start_um ? measured(one, draft, change) : looked(one, draft, change))),
			part(say("show-or-say"), pictureRows(draft, change)),
			deeds(readings.length + by_eye.length > 0 || told.net
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

// A length that is longer than the last one, or much shorter, is asked about before it is put down; it may be so all the same.
// Bristles do not grow, and seldom lose a quarter of a new brush between two checks (common practice, no source).
function oddOf(one, um) {
	if (!one.last_um) return null;
	if (um > one.last_um + steps().small / 2) return "odd-longer";
	return um < one.last_um - one.start_um / 4 ? "odd-shorter" : null;
}

function measured(one, draft, change) {
	const { big, small, count, of_big, of_small, behind } = steps();
	const whole = draft.begun[one.id];
	const points = draft.points[one.id] ?? [];
	const odd = draft.odd?.part === one.id ? draft.odd : null;
	const set = (more, also) => change({ points: { ...draft.points, [one.id]: more }, begun: { ...draft.begun, [one.id]: undefined }, too_long: null, odd: null, ...also });
	const add = (um) => {
		if (um > one.start_um) return change({ too_long: one.id, odd: null });
		const asks = draft.sure?.[one.id] ? null : oddOf(one, um);
		return asks ? change({ odd: { part: one.id, um, asks }, too_long: null }) : set([...points, um]);
	};
	const numbers = (of, unit = "") => Array.from({ length: of }, (_, n) => [n, n ? n + unit : "0"]);
	return [
		p(say("new-and-limit", { start: length(one.start_um), limit: one.limit_um ? length(one.limit_um) : "–" })),
		points.length > 0 && h("p", { class: "points", data: { points: points.join(",") } }, points.map(length).join(" · "), " ",
			button("point-away", say("take-last-away"), () => set(points.slice(0, -1)), { value: one.id })),
		points.some((um) => one.limit_um && um <= one.limit_um) && notice("wait", say("at-limit")),
		draft.too_long === one.id && notice("bad", say("fault-longer-than-new")),
		odd ? askedAbout(one, odd, () => set([...points, odd.um], { sure: { ...draft.sure, [one.id]: true } }),
			() => change({ odd: null, begun: { ...draft.begun, [one.id]: undefined } }))
			: [asked(`whole-${one.id}`, of_big, numbers(Math.floor(one.start_um / big) + 1), whole,
				(n) => change({ begun: { ...draft.begun, [one.id]: n }, too_long: null })),
			whole !== undefined && asked(`rest-${one.id}`, of_small, numbers(count, behind), null, (n) => add(whole * big + n * small))],
	];
}

const askedAbout = (one, { um, asks }, keep, again) => h("div", { data: { odd: asks } },
	notice("wait", say(asks, { now: length(um), length: length(one.last_um), date: dateShort(one.last_on) })),
	group(button("odd-keep", say("odd-keep"), keep, { value: one.id }), button("odd-again", say("odd-again"), again, { value: one.id })));

export const toolFilled = ({ readings, by_eye, net: told }) => ({
	points: Object.fromEntries(readings.map((one) => [one.wear_part_id, one.points_um])),
	looks: Object.fromEntries(by_eye.map((one) => [one.wear_part_id, one.verdict])),
	begun: {}, sure: {}, net: netFilled(told), pictures: [],
});
