// The crew's clocks: in, break, back, out for each; and who joins or leaves the crew today.

import { button, h, heading, part } from "../dom.js";
import { crewName, dash } from "../names.js";
import { show, tell } from "../screens.js";
import { time, when } from "../shown.js";
import { say } from "../words.js";

/** What may follow what. */
const NEXT = { none: ["in"], in: ["break_start", "out"], break_start: ["break_end"], break_end: ["break_start", "out"], out: ["in"] };

export const people = {
  draw(day) {
    const crew = day.people.filter((person) => person.in_crew);
    const others = day.people.filter((person) => !person.in_crew);
    return [
      heading(say("clocks-title", { crew: crewName(day) })),
      day.shift && h("p", {}, say("shift", { from: time(day.shift.starts_at), to: time(day.shift.ends_at) })),
      h("ul", { class: "clocks" }, crew.map((person) => clock(day, person))),
      day.shift && others.length > 0 && part(say("joins-crew"), h("div", { class: "picks" }, others.map((person) => (
        button("joins", `+ ${person.name}`, () => change(day, person, true), { value: person.id }))))),
      button("more", say("back"), () => show("more"), { kind: "quiet" }),
    ];
  },
};

function clock(day, person) {
  const last = person.clock?.event ?? "none";
  return h("li", { data: { person: person.id, clock: last } },
    h("p", {}, h("strong", {}, person.name), " ", h("span", { class: "soft" }, person.clock
      ? say(`clock-is-${dash(last)}`, { time: when(person.clock.at) }) : say("clock-is-none"))),
    h("div", { class: "picks" },
      NEXT[last].map((event) => button(`clock-${dash(event)}`, say(`clock-${dash(event)}`), () => tell({
        kind: "attendance", person_id: person.id, event }), { value: person.id, kind: "main" })),
      day.shift && button("leaves", say("leaves-crew"), () => change(day, person, false), { value: person.id, kind: "quiet" })));
}

const change = (day, person, joins) => tell({ kind: "crew_change", shift_id: day.shift.id, person_id: person.id, joins });
