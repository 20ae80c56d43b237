// Thunder or lightning: everybody off the courts.

import { button, h, heading, notice } from "../dom.js";
import { show, tellAndShow } from "../screens.js";
import { say } from "../words.js";

export const lightning = {
  draw(day) {
    return [
      heading(say("lightning-title")),
      notice("bad", h("p", {}, say("lightning-text"))),
      button("lightning-tell", say("lightning-tell"), () => tellAndShow({ kind: "lightning" }), { kind: "huge bad" }),
      h("p", { class: "soft" }, say(day.stop ? "lightning-again" : "lightning-advice")),
      button("more", say("back"), () => show("more"), { kind: "quiet" }),
    ];
  },
};
