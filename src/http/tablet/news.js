// Says to whoever listens that something changed: in this window, or in all windows of the tablet.

const here = new EventTarget();
const windows = new BroadcastChannel("roundhand");

export const on = (name, listener) => here.addEventListener(name, listener);

export const say = (name) => here.dispatchEvent(new Event(name));

export function sayToAll(name) {
	say(name);
	windows.postMessage(name);
}

windows.onmessage = ({ data }) => say(data);
