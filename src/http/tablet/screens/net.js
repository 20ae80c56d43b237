// A court's net by gauge: its height at the centre, then the width of its strap. Nothing stands there that nobody read.

import { asked } from "../controls.js";
import { button, h, notice, p, part } from "../dom.js";
import { length, steps } from "../shown.js";
import { say } from "../words.js";

// In whole inches and in tens of millimetres; a net further off is no matter of the gauge.
const SPANS = { height: { us: [30, 42], metric: [80, 100] }, strap: { us: [1, 4], metric: [2, 9] } };
// ITF Rules of Tennis, rule 1: 3 ft at the centre, a strap of at most 2 in. An eighth of an inch is let pass, and what a strap of
// 2 in reads in whole millimetres.
const [HEIGHT_UM, OFF_UM, STRAP_UM] = [914_400, 3175, 51_000];

export function net(draft, change) {
	const { height, strap } = draft.net ?? {};
	const off = height && (Math.abs(height - HEIGHT_UM) > OFF_UM || strap > STRAP_UM);
	return part(say("net-by-gauge"),
		h("p", { class: "caution" }, say("net-release-first")),
		p(say("net-by-rule", { height: length(HEIGHT_UM), strap: length(50_800) })),
		height && h("p", { data: { net: height, strap: strap ?? "" } }, say("net-read", { height: length(height), strap: strap ? length(strap) : "–" }), " ",
			button("net-away", say("take-last-away"), () => change({ net: strap ? { height } : {} }))),
		off && notice("wait", say("net-off")),
		!height && twoTaps("height", "net-height", draft, change),
		height && !strap && twoTaps("strap", "net-strap", draft, change));
}

function twoTaps(of, key, draft, change) {
	const { us, big, small, count, of_big, of_small, behind } = steps();
	const [from, to] = SPANS[of][us ? "us" : "metric"];
	const whole = draft.begun[key];
	const begun = (n) => ({ begun: { ...draft.begun, [key]: n } });
	const numbers = Array.from({ length: to - from + 1 }, (_, n) => [from + n, String(from + n)]);
	const rests = Array.from({ length: count }, (_, n) => [n, n ? n + behind : "0"]);
	return [
		p(say(of === "height" ? "net-height" : "net-strap")),
		asked(key, of_big, numbers, whole, (n) => change(begun(n))),
		whole !== undefined && asked(`${key}-rest`, of_small, rests, null,
			(n) => change({ ...begun(undefined), net: { ...draft.net, [of]: whole * big + n * small } })),
	];
}

export const netTold = ({ height, strap } = {}) => (
	height ? { net: { height_um: height, strap_um: strap ?? null, read_in: steps().us ? "in" : "mm" } } : {});

export const netFilled = (told) => (told ? { height: told.height_um, strap: told.strap_um ?? undefined } : {});
