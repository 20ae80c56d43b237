// A court from above, north up. Lines by the ITF Rules of Tennis, rule 1: 23.77 by 10.97 m, singles 8.23 m wide, service
// lines 6.40 m from the net. The surface is 36.58 by 18.29 m, as is usual. All in mm.

import { h, svg } from "./dom.js";
import { distance } from "./shown.js";
import { say } from "./words.js";

const [WIDE, LONG] = [18_290, 36_580];
const [X, Y, SINGLES, SERVICE] = [5485, 11_885, 4115, 6400];
const LINES = `M${-X} ${-Y}H${X}V${Y}H${-X}Z M${-SINGLES} ${-Y}V${Y} M${SINGLES} ${-Y}V${Y}`
	+ `M${-SINGLES} ${-SERVICE}H${SINGLES} M${-SINGLES} ${SERVICE}H${SINGLES} M0 ${-SERVICE}V${SERVICE}`
	+ `M0 ${-Y}v400 M0 ${Y}v-400`;
const NET = `M${-X - 914} 0H${X + 914}`;

// The tool's way in long strokes, each back against the one before, with the tip of an arrow at its end.
const strokes = (lanes, reach, at) => lanes.map((lane, nth) => {
	const [to, tip] = nth % 2 ? [-reach, 1900] : [reach, -1900];
	return `M${at(lane, -to)}L${at(lane, to)}M${at(lane - 1300, to + tip)}L${at(lane, to)}L${at(lane + 1300, to + tip)}`;
}).join("");
const WAYS = {
	along: strokes([-7200, -2400, 2400, 7200], 16_900, (x, y) => `${x} ${y}`),
	across: strokes([-14_000, -8400, -2800, 2800, 8400, 14_000], 8300, (y, x) => `${x} ${y}`),
};

export const drawing = ({ direction, spots = [] }) => svg("svg", {
	class: "court", viewBox: `${-WIDE / 2} ${-LONG / 2} ${WIDE} ${LONG}`, "aria-hidden": "true", focusable: "false",
},
svg("rect", { class: "ground", x: -WIDE / 2, y: -LONG / 2, width: WIDE, height: LONG, rx: 400 }),
svg("path", { class: "lines", d: LINES }),
svg("path", { class: "net", d: NET }),
direction && svg("path", { class: "way", d: WAYS[direction] }),
spots.map(({ x_mm, y_mm }) => svg("circle", { class: "spot", cx: x_mm, cy: -y_mm, r: 900 })));

export function place(spot, choose) {
	const picture = drawing({ spots: spot ? [spot] : [] });
	const at = (x, y) => choose({ x_mm: clamp(x, WIDE), y_mm: clamp(y, LONG) });
	return h("button", {
		type: "button", class: "place", data: { do: "place" }, "aria-label": say("place-label"),
		onclick: ({ clientX, clientY, detail }) => {
			// A key press has no place of its own: it starts in the middle.
			if (!detail) return at(spot?.x_mm ?? 0, spot?.y_mm ?? 0);
			const box = picture.getBoundingClientRect();
			return at(((clientX - box.left) / box.width - 0.5) * WIDE, (0.5 - (clientY - box.top) / box.height) * LONG);
		},
		onkeydown: (event) => {
			const move = { ArrowLeft: [-500, 0], ArrowRight: [500, 0], ArrowUp: [0, 500], ArrowDown: [0, -500] }[event.key];
			if (!move) return;
			event.preventDefault();
			at((spot?.x_mm ?? 0) + move[0], (spot?.y_mm ?? 0) + move[1]);
		},
	}, picture);
}

const clamp = (mm, whole) => Math.round(Math.max(-whole / 2, Math.min(whole / 2, mm)));

export function where({ x_mm, y_mm }) {
	return say("where", {
		along: distance(Math.abs(y_mm)), side: y_mm < 0 ? "south" : "north", across: distance(Math.abs(x_mm)), hand: x_mm < 0 ? "west" : "east",
	});
}
