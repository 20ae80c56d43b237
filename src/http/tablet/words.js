// What the page says. A language is a file words/LANGUAGE.ftl; what it lacks is said in English.

import { FluentBundle, FluentResource } from "./vendor/fluent/bundle.js";

const FIRST = "en-US";
const bundles = new Map();
let languages = [FIRST];
let spoken = FIRST;

const file = (name) => fetch(new URL(`./words/${name}`, import.meta.url));

export async function takeUp() {
	const [list] = await Promise.all([file("languages.json").then((answer) => answer.json()), read(FIRST)]);
	languages = list;
}

async function read(language) {
	if (bundles.has(language)) return;
	const answer = await file(`${language}.ftl`);
	if (!answer.ok) throw new Error(`no words in ${language}`);
	const bundle = new FluentBundle(language, { useIsolating: false });
	bundle.addResource(new FluentResource(await answer.text()));
	bundles.set(language, bundle);
}

export const known = () => languages;

export const language = () => spoken;

export const ownName = (tag) => new Intl.DisplayNames([tag], { type: "language" }).of(tag.split("-")[0]);

export function nearest(wished) {
	const base = (tag) => tag.split("-")[0].toLowerCase();
	const near = (tag) => languages.find((one) => one === tag) ?? languages.find((one) => base(one) === base(tag));
	return wished.filter(Boolean).map(near).find(Boolean) ?? FIRST;
}

export async function speak(tag) {
	try {
		await read(tag);
		spoken = tag;
	} catch { /* without signal and not kept: the words come with the next shell */ }
	document.documentElement.lang = spoken;
}

export const has = (key) => bundles.get(spoken).hasMessage(key);

export function say(key, values) {
	for (const tag of [spoken, FIRST]) {
		const bundle = bundles.get(tag);
		const message = bundle.getMessage(key);
		if (message?.value) return bundle.formatPattern(message.value, values, []);
	}
	return key;
}
