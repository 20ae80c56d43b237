// Why the office did not take something, in the person's language where the page knows the fault, else as the office
// said it.

import { h, notice } from "./dom.js";
import { dash } from "./names.js";
import { say } from "./words.js";

/** The texts of an answer's faults, each once. */
export function faultTexts({ code, detail, errors = [] }) {
  const texts = errors.length ? errors.map(textOf) : [textOf({ code, detail })];
  return [...new Set(texts)];
}

function textOf({ code, detail, values }) {
  const key = code && `fault-${dash(code)}`;
  const text = key && say(key, values);
  return !text || text === key ? detail || say("fault-other") : text;
}

/** What is to be mended in a form that was opened again. */
export const faultsOf = (draft) => draft.faults?.length > 0 && notice("bad", draft.faults.map((text) => h("p", {}, text)));
