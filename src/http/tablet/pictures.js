// Photos and voice notes: made small on the tablet, kept as bytes with what they belong to.

import { button, h, notice } from "./dom.js";
import { say } from "./words.js";

const LONGEST_SIDE = 1600;
const QUALITY = 0.8;
const LONGEST_NOTE_S = 30;
const SOUNDS = ["audio/webm", "audio/mp4", "audio/ogg"];

async function shrink(file) {
	try {
		const image = await createImageBitmap(file, { imageOrientation: "from-image" });
		const scale = Math.min(1, LONGEST_SIDE / Math.max(image.width, image.height));
		const canvas = h("canvas", { width: Math.round(image.width * scale), height: Math.round(image.height * scale) });
		canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
		image.close();
		const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
		return blob && { type: "image/jpeg", bytes: await blob.arrayBuffer() };
	} catch {
		return null;
	}
}

let recorder = null;
let making = Promise.resolve();

async function record(begun) {
	try {
		const stream = await navigator.mediaDevices.getUserMedia({ audio: true });
		const mimeType = SOUNDS.find((type) => MediaRecorder.isTypeSupported(type));
		const pieces = [];
		recorder = new MediaRecorder(stream, { mimeType, audioBitsPerSecond: 24_000 });
		const stopped = new Promise((resolve) => { recorder.onstop = resolve; });
		recorder.ondataavailable = ({ data }) => pieces.push(data);
		recorder.start();
		const limit = setTimeout(stop, LONGEST_NOTE_S * 1000);
		begun();
		await stopped;
		clearTimeout(limit);
		stream.getTracks().forEach((track) => track.stop());
		return { type: mimeType, bytes: await new Blob(pieces).arrayBuffer() };
	} catch {
		return null;
	} finally {
		recorder = null;
	}
}

const stop = () => recorder?.state === "recording" && recorder.stop();

// Ends a voice note that is being made, and waits until all is in the form.
export async function picturesMade() {
	stop();
	await making;
}

export function pictureRows(draft, change) {
	const add = (picture, fault) => change(picture
		? { pictures: [...draft.pictures, picture], picture_fault: null } : { picture_fault: fault });
	const make = (picture, fault) => { making = Promise.all([making, picture.then((made) => add(made, fault))]); };
	const photo = ({ target }) => target.files[0] && make(shrink(target.files[0]), "photo-unreadable");
	const voice = () => (recorder ? stop() : make(record(() => change({})), "no-microphone"));
	const count = (kind) => draft.pictures.filter((picture) => picture.type.startsWith(kind)).length;
	return h("div", { class: "pictures" },
		h("label", { class: "photo" }, say("take-photo"), h("input", {
			type: "file", accept: "image/*", capture: "environment", data: { do: "photo" }, onchange: photo,
		})),
		button("voice", say(recorder ? "voice-stop" : "voice-start"), voice, { pressed: Boolean(recorder) }),
		h("p", { role: "status", data: { pictures: draft.pictures.length } }, draft.pictures.length
			? say("pictures-kept", { photos: count("image"), notes: count("audio") }) : ""),
		draft.picture_fault && notice("wait", say(draft.picture_fault)));
}
