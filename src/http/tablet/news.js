// Says to whoever listens that something changed: within this window, and in the tablet's other windows.
//
//   told  something is to be sent        outbox  the office answered, or somebody let it be
//   sent  a batch is with the office     day     the office's day came
//   link  how the line to it stands      view    what the screens show

const here = new EventTarget();
const windows = new BroadcastChannel("roundhand");

export const on = (name, listener) => here.addEventListener(name, listener);

/** Says it in this window. */
export const say = (name) => here.dispatchEvent(new Event(name));

/** Says it in every window. */
export function sayToAll(name) {
  say(name);
  windows.postMessage(name);
}

windows.onmessage = ({ data }) => say(data);
