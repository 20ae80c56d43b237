// Where on a court something is, in words: from the net and from the middle.

import { distance } from "./shown.js";
import { say } from "./words.js";

export function where({ x_mm, y_mm }) {
  return say("where", {
    along: distance(Math.abs(y_mm)), side: y_mm < 0 ? "south" : "north", across: distance(Math.abs(x_mm)), hand: x_mm < 0 ? "west" : "east",
  });
}
