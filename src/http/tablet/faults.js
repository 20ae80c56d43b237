// Why the office did not take something: in the person's language where the page knows the fault, else as it was said.

import { notice, p } from "./dom.js";
import { dash } from "./names.js";
import { say } from "./words.js";

export function faultTexts({ code, detail, errors = [] }) {
	const texts = errors.length ? errors.map(textOf) : [textOf({ code, detail })];
	return [...new Set(texts)];
}

function textOf({ code, detail, values }) {
	const key = code && `fault-${dash(code)}`;
	const text = key && say(key, values);
	return !text || text === key ? detail || say("fault-other") : text;
}

export const faultsOf = (draft) => draft.faults?.length > 0 && notice("bad", draft.faults.map((text) => p(text)));
