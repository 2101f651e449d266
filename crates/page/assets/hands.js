// @ts-check
// Hands: the direction keys, go to, sight and accept, and the line itself.
import { text } from "./texts.js";
import { act, ask } from "./wire.js";

/** @typedef {import("./types.js").Frame} Frame */
/** @typedef {import("./types.js").Room} Room */
/** @typedef {import("./types.js").Hello} Hello */

/** How often a held key is said again, in milliseconds; the mount waits a second for it. */
const AGAIN = 300;
/** The keys of either kind of mount: arrow of the keyboard, direction, place in the cross. */
const EQUATORIAL = [["ArrowUp", "north", 1, 2], ["ArrowLeft", "east", 2, 1], ["ArrowRight", "west", 2, 3], ["ArrowDown", "south", 3, 2]];
const ALT_AZIMUTH = [["ArrowUp", "up", 1, 2], ["ArrowLeft", "left", 2, 1], ["ArrowRight", "right", 2, 3], ["ArrowDown", "down", 3, 2]];
const RATES = ["0.5x", "2x", "20x", "100x", "full"];

const keys = /** @type {HTMLElement} */ (document.getElementById("keys"));
const rates = /** @type {HTMLElement} */ (document.getElementById("rates"));
const traffic = /** @type {HTMLElement} */ (document.getElementById("traffic"));
const refused = /** @type {HTMLElement} */ (document.getElementById("refused"));
const control = /** @type {HTMLElement} */ (document.getElementById("control"));
const sighting = /** @type {HTMLElement} */ (document.getElementById("sighting"));

let rate = "20x";
let kind = "";
/** @type {Map<string, number>} directions that are held, and the timers that say them again */
const held = new Map();
/** @type {Frame["target"]} */
let target = null;
/** @type {Hello | null} */
let self = null;

/**
 * Does an action and tells of a refusal.
 * @param {Record<string, unknown>} action
 */
export async function doIt(action) {
  const done = await act(action);
  const no = done.ok ? (done.answer?.startsWith("no ") ? done.answer : "") : (done.problem ?? "");
  refused.textContent = no.replace(/^no (@\S+ )?\d+ \S+ "(.*)"$/, "$2");
  return done;
}

/** @param {string} direction */
function press(direction) {
  if (held.has(direction)) return;
  const say = () => doIt({ do: "press", direction, rate });
  held.set(direction, window.setInterval(say, AGAIN));
  say();
  keys.querySelector(`[data-direction="${direction}"]`)?.classList.add("down");
}

/** @param {string} [direction] all if none is named */
function release(direction) {
  const which = direction === undefined ? [...held.keys()] : [direction].filter((one) => held.has(one));
  if (!which.length) return;
  for (const one of which) {
    clearInterval(held.get(one));
    held.delete(one);
    keys.querySelector(`[data-direction="${one}"]`)?.classList.remove("down");
  }
  // The line lets go of both axes at once; what is still held is said again at its next turn.
  doIt({ do: "release" });
}

/** @param {string} now */
function makeKeys(now) {
  if (now === kind) return;
  kind = now;
  const list = now === "azimuth" ? ALT_AZIMUTH : EQUATORIAL;
  keys.replaceChildren(...list.map(([, direction, row, column]) => {
    const button = Object.assign(document.createElement("button"), { type: "button", textContent: text(String(direction)) });
    button.dataset.direction = String(direction);
    button.style.gridRow = String(row);
    button.style.gridColumn = String(column);
    button.onpointerdown = (event) => {
      if (event.button !== 0) return;
      button.setPointerCapture(event.pointerId);
      press(String(direction));
    };
    for (const end of ["pointerup", "pointercancel", "lostpointercapture"]) button.addEventListener(end, () => release(String(direction)));
    button.oncontextmenu = (event) => event.preventDefault();
    button.onkeydown = (event) => {
      if (event.key === " " || event.key === "Enter") {
        event.preventDefault();
        press(String(direction));
      }
    };
    button.onkeyup = (event) => {
      if (event.key === " " || event.key === "Enter") release(String(direction));
    };
    button.onblur = () => release(String(direction));
    return button;
  }));
}

rates.replaceChildren(...RATES.map((name) => {
  const label = document.createElement("label");
  const input = Object.assign(document.createElement("input"), { type: "radio", name: "rate", value: name, checked: name === rate });
  input.onchange = () => {
    rate = name;
  };
  label.append(input, ` ${name} `);
  return label;
}));

/** @param {EventTarget | null} element */
const isTyping = (element) => element instanceof HTMLInputElement || element instanceof HTMLSelectElement || element === traffic || (element instanceof HTMLElement && element.id === "trims");
/** @param {string} key */
const directionOf = (key) => (kind === "azimuth" ? ALT_AZIMUTH : EQUATORIAL).find((one) => one[0] === key)?.[1];

window.addEventListener("keydown", (event) => {
  if (event.key === "Escape") {
    release();
    doIt({ do: "stop" });
    return;
  }
  const direction = directionOf(event.key);
  if (!direction || isTyping(event.target) || event.altKey || event.ctrlKey || event.metaKey) return;
  event.preventDefault();
  if (!event.repeat) press(String(direction));
});
window.addEventListener("keyup", (event) => {
  const direction = directionOf(event.key);
  if (direction) release(String(direction));
});
// Whoever can't see the mount any more doesn't move it any more.
for (const left of ["blur", "pagehide"]) window.addEventListener(left, () => release());
document.addEventListener("visibilitychange", () => document.hidden && release());

/** Lets go of everything, since the connection is gone: the mount does so by itself. */
export function letGo() {
  for (const timer of held.values()) clearInterval(timer);
  held.clear();
  for (const button of keys.querySelectorAll(".down")) button.classList.remove("down");
}

/** @type {[string, () => Record<string, unknown> | null][]} */
const SIGHTING = [
  ["hands.sync", () => target && { do: "line", text: `sync name="${target.name}"` }],
  ["hands.sight", () => target && { do: "line", text: `sight name="${target.name}"` }],
  ["hands.propose", () => ({ do: "line", text: "propose" })],
  ["hands.centre", () => target && { do: "centre" }],
  ["hands.track", () => ({ do: "line", text: "track rate=sidereal" })],
  ["hands.home", () => ({ do: "line", text: "home" })],
];
sighting.replaceChildren(...SIGHTING.map(([name, make]) => {
  const button = Object.assign(document.createElement("button"), { type: "button", textContent: text(name) });
  button.onclick = async () => {
    const action = make();
    if (!action) refused.textContent = text("hands.no-target");
    else await doIt(action);
  };
  return button;
}));

const goto = /** @type {HTMLFormElement} */ (document.getElementById("goto"));
const gotoName = /** @type {HTMLInputElement} */ (document.getElementById("goto-name"));
const names = /** @type {HTMLDataListElement} */ (document.getElementById("names"));
goto.onsubmit = (/** @type {SubmitEvent} */ event) => {
  event.preventDefault();
  const name = gotoName.value.trim().replace(/["\\]/g, "");
  if (name) doIt({ do: "line", text: `goto name="${name}"` });
};
gotoName.oninput = async () => {
  try {
    const found = await ask(`api/names?text=${encodeURIComponent(gotoName.value)}`);
    names.replaceChildren(...found.map((/** @type {string} */ name) => new Option(name)));
  } catch {
    names.replaceChildren();
  }
};

const line = /** @type {HTMLFormElement} */ (document.getElementById("line"));
const lineText = /** @type {HTMLInputElement} */ (document.getElementById("line-text"));
line.onsubmit = async (/** @type {SubmitEvent} */ event) => {
  event.preventDefault();
  if (lineText.value.trim() && (await doIt({ do: "line", text: lineText.value })).ok) lineText.value = "";
};

/** @type {HTMLButtonElement} */ (document.getElementById("stop")).onclick = () => {
  release();
  doIt({ do: "stop" });
};
const speed = /** @type {HTMLSelectElement} */ (document.getElementById("speed"));
for (const value of [0, 1, 2, 5, 10, 30, 60, 300, 1000]) speed.append(new Option(value ? text("speed.times", { n: value }) : text("speed.pause"), String(value)));
speed.value = "1";
speed.onchange = () => doIt({ do: "speed", value: Number(speed.value) });

/**
 * Shows a line of the traffic; one that is said again and again stands once, with a count.
 * @param {import("./types.js").Spoken} spoken
 */
export function showLine(spoken) {
  const last = /** @type {HTMLElement | null} */ (traffic.lastElementChild);
  const before = /** @type {HTMLElement | null} */ (last?.previousElementSibling ?? null);
  const said = `${spoken.way} ${spoken.text}`;
  const repeats = before?.dataset.said === said && spoken.text.includes("hold=");
  if (repeats && before && last) {
    before.dataset.times = String(Number(before.dataset.times ?? 1) + 1);
    before.textContent = `${said}  (×${before.dataset.times})`;
    last.remove();
    return;
  }
  const shown = document.createElement("div");
  shown.dataset.said = said;
  shown.textContent = said;
  shown.className = spoken.way === ">" ? "out" : spoken.text.startsWith("*") ? "event" : spoken.text.startsWith("no") ? "no" : "in";
  const atEnd = traffic.scrollTop + traffic.clientHeight > traffic.scrollHeight - 30;
  traffic.append(shown);
  while (traffic.children.length > 200) traffic.firstElementChild?.remove();
  if (atEnd) traffic.scrollTop = traffic.scrollHeight;
}

/** A newcomer is told the traffic from its begin. */
export function clearTraffic() {
  traffic.replaceChildren();
}

/** @param {Hello} hello */
export function takeHello(hello) {
  self = hello;
}

/** @param {Frame} frame */
export function takeHands(frame) {
  target = frame.target;
  makeKeys(frame.axes[0]);
  if (document.activeElement !== speed) {
    const value = String(frame.speed);
    if (![...speed.options].some((option) => option.value === value)) speed.append(new Option(text("speed.times", { n: frame.speed.toFixed(0) }), value));
    speed.value = value;
  }
}

/** @param {Room} room */
export function takeControl(room) {
  if (!self) return;
  const mine = room.holder === self.number;
  const fill = { here: room.here };
  const said = text(mine ? "control.mine" : self.teacher ? "control.other" : "control.viewer", fill);
  if (control.dataset.said !== said) {
    control.dataset.said = said;
    control.replaceChildren(said);
    if (!mine && self.teacher) {
      const take = Object.assign(document.createElement("button"), { type: "button", textContent: text("control.take") });
      take.onclick = () => doIt({ do: "take" });
      control.append(take);
    }
  }
  if (!mine) letGo();
  document.body.classList.toggle("looking", !mine);
  for (const element of document.querySelectorAll("#hands button, #hands input, #errors button, #errors input, #wire button, #wire input, #lesson button, #lesson input, #speed")) {
    const free = element.closest("#control, .free") !== null;
    if (!free) /** @type {HTMLButtonElement} */ (element).disabled = !mine || element.hasAttribute("data-off");
  }
}
