// Thunder or lightning: everybody off the courts.

import { button, heading, notice, p, soft } from "../dom.js";
import { backTo, tellAndShow } from "../screens.js";
import { say } from "../words.js";

export const lightning = {
	draw(day) {
		return [
			heading(say("lightning-title")),
			notice("bad", p(say("lightning-text"))),
			button("lightning-tell", say("lightning-tell"), () => tellAndShow({ kind: "lightning" }), { kind: "huge bad" }),
			soft(say(day.stop ? "lightning-again" : "lightning-advice")),
			backTo("more"),
		];
	},
};
