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

async function record(done) {
  try {
    const stream = await navigator.mediaDevices.getUserMedia({ audio: true });
    const mimeType = SOUNDS.find((type) => MediaRecorder.isTypeSupported(type));
    const pieces = [];
    recorder = new MediaRecorder(stream, { mimeType, audioBitsPerSecond: 24_000 });
    const limit = setTimeout(stopRecording, LONGEST_NOTE_S * 1000);
    recorder.ondataavailable = ({ data }) => pieces.push(data);
    recorder.onstop = async () => {
      clearTimeout(limit);
      stream.getTracks().forEach((track) => track.stop());
      recorder = null;
      done({ type: mimeType, bytes: await new Blob(pieces).arrayBuffer() });
    };
    recorder.start();
  } catch {
    recorder = null;
    done(null);
  }
}

export const stopRecording = () => recorder?.state === "recording" && recorder.stop();

export function pictureRows(draft, change) {
  const add = (picture, fault) => change(picture
    ? { pictures: [...draft.pictures, picture], picture_fault: null, records: false }
    : { picture_fault: fault, records: false });
  const photo = async ({ target }) => {
    const file = target.files[0];
    if (file) add(await shrink(file), "photo-unreadable");
  };
  const voice = async () => {
    if (draft.records) return stopRecording();
    change({ records: true });
    return record((sound) => add(sound, "no-microphone"));
  };
  const count = (kind) => draft.pictures.filter((picture) => picture.type.startsWith(kind)).length;
  return h("div", { class: "pictures" },
    h("label", { class: "photo" }, say("take-photo"), h("input", {
      type: "file", accept: "image/*", capture: "environment", data: { do: "photo" }, onchange: photo,
    })),
    button("voice", say(draft.records ? "voice-stop" : "voice-start"), voice, { pressed: Boolean(draft.records) }),
    h("p", { role: "status", data: { pictures: draft.pictures.length } }, draft.pictures.length
      ? say("pictures-kept", { photos: count("image"), notes: count("audio") }) : ""),
    draft.picture_fault && notice("wait", say(draft.picture_fault)));
}
