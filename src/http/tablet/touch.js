// A button that is drawn anew under a finger would lose its tap: what draws by itself waits until none is down.

let down = false;
const waiting = [];

addEventListener("pointerdown", () => { down = true; }, true);
for (const end of ["pointerup", "pointercancel"]) addEventListener(end, () => setTimeout(lifted), true);

function lifted() {
  down = false;
  waiting.splice(0).forEach((go) => go());
}

export const untouched = () => (down ? new Promise((go) => { waiting.push(go); }) : Promise.resolve());
