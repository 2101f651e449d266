// @ts-check
// Inside the gear: worm and wheel drawn large, and the loop of axis against motor.
import { dimension, ink, prepared } from "./measures.js";
import { text } from "./texts.js";

/** @typedef {import("./types.js").Frame} Frame */

const view = /** @type {HTMLCanvasElement} */ (document.getElementById("gear-view"));
const loop = /** @type {HTMLCanvasElement} */ (document.getElementById("loop-view"));
const figures = /** @type {HTMLElement} */ (document.getElementById("gear-figures"));
const words = /** @type {HTMLElement} */ (document.getElementById("gear-words"));
const choice = /** @type {HTMLElement} */ (document.getElementById("gear-axis"));

/** Pixels of an arcsecond of the gap, and of one tooth. */
const PER_ARCSEC = 0.2;
const PITCH = 220;
/** Arcminutes of the loop that are kept. */
const LOOP_MOST = 1500;

let axis = 0;
let known = "";
/** @type {[number, number][]} */
let trail = [];
let trailOf = "";
/** How the motor last went: +1, −1. */
let sense = 1;

/**
 * Shows the axis of that number, 0 or 1.
 * @param {number} number
 */
export function showAxis(number) {
  axis = number;
  for (const input of choice.querySelectorAll("input")) input.checked = Number(input.value) === number;
}

/** The number of the axis that is shown. */
export function shownAxis() {
  return axis;
}

/**
 * @param {[string, string]} names
 */
function offer(names) {
  if (known === names.join()) return;
  known = names.join();
  choice.replaceChildren(...names.map((name, number) => {
    const label = document.createElement("label");
    const input = Object.assign(document.createElement("input"), { type: "radio", name: "gear-axis", value: String(number), checked: number === axis });
    input.onchange = () => showAxis(number);
    label.append(input, " ", text(`axis.${name}`), " ");
    return label;
  }));
}

/**
 * A row of equal teeth, pointing up or down.
 * @param {CanvasRenderingContext2D} pen
 * @param {number} x where the middle of one tooth (or of one thread's gap) is
 * @param {number} root
 * @param {number} tip
 * @param {number} half half of its width at the pitch line
 * @param {number} w
 */
function teeth(pen, x, root, tip, half, w) {
  const lean = Math.abs(tip - root) * 0.18;
  const first = ((x % PITCH) + PITCH) % PITCH - 2 * PITCH;
  pen.moveTo(-PITCH, root);
  for (let at = first; at < w + 2 * PITCH; at += PITCH) {
    pen.lineTo(at - half - lean, root);
    pen.lineTo(at - half + lean, tip);
    pen.lineTo(at + half - lean, tip);
    pen.lineTo(at + half + lean, root);
  }
  pen.lineTo(w + PITCH, root);
}

/**
 * Takes a frame: the loop grows, whether or not it is drawn.
 * @param {Frame} frame
 */
export function takeFrame(frame) {
  offer(frame.axes);
  const now = `${frame.night} ${axis}`;
  if (now !== trailOf) {
    trail = [];
    trailOf = now;
  }
  const [motor, lag] = [Number(frame.dial[axis]) * 3600, frame.lag[axis]];
  const last = trail.at(-1);
  if (last && Math.abs(motor - last[0]) > 0.3) sense = motor > last[0] ? 1 : -1;
  if (lag === null) return;
  if (!last || Math.abs(motor - last[0]) > 0.5 || Math.abs(motor - Number(lag) - last[1]) > 0.5) {
    trail.push([motor, motor - Number(lag)]);
    if (trail.length > LOOP_MOST) trail.shift();
  }
}

/**
 * @param {Frame} frame
 * @param {number} wheel where the axis is, arcseconds, made smooth between frames
 * @param {number} share
 * @param {number} count teeth of the wheel
 */
export function drawGear(frame, wheel, share, count) {
  const play = frame.play[axis];
  const gap = play.gap === null ? 0 : Number(play.gap);
  const { pen, width: w, height: h } = prepared(view, 0.62);
  const [half, top, mid, bottom] = [46, h * 0.16, h * 0.52, h * 0.88];
  const room = gap * PER_ARCSEC;
  // The wheel is drawn where its axis is; the worm from there by its place in the gap, so that a flank that touches is seen
  // to touch.
  const x = w / 2 + ((wheel * PER_ARCSEC) % PITCH);
  const worm = x - (share - 0.5) * room;
  pen.lineWidth = 1.5;
  pen.strokeStyle = ink("truth");
  pen.fillStyle = ink("grid");
  pen.beginPath();
  teeth(pen, x, top, mid + 14, half, w);
  pen.lineTo(w + PITCH, 0);
  pen.lineTo(-PITCH, 0);
  pen.closePath();
  pen.fill();
  pen.stroke();
  pen.strokeStyle = ink("belief");
  pen.beginPath();
  teeth(pen, worm + PITCH / 2, bottom, mid - 14, PITCH / 2 - half - room / 2, w);
  pen.lineTo(w + PITCH, h);
  pen.lineTo(-PITCH, h);
  pen.closePath();
  pen.fill();
  pen.stroke();
  marks(pen, play, worm, half, room, mid);
  pen.fillStyle = ink("ink");
  pen.strokeStyle = ink("ink");
  pen.font = `12px ${ink("mono")}`;
  if (gap > 0) {
    const side = share < 0.5 ? 1 : -1;
    const [a, b] = [x + side * half, worm + side * (half + room / 2)].sort((one, other) => one - other);
    dimension(pen, a, b, mid - 26, b - a > 12 ? `${(play.gap === null ? 0 : (b - a) / PER_ARCSEC).toFixed(0)}″` : "");
  }
  pen.textAlign = "left";
  pen.fillText(text("gear.wheel"), 6, 14);
  pen.fillText(text("gear.worm"), 6, h - 6);
  pen.textAlign = "right";
  // Of a wheel of 160 teeth one tooth is 8100 arcseconds.
  const times = (PER_ARCSEC * (1296000 / count)) / PITCH;
  // On a narrow sheet it stands above the name of the worm.
  pen.fillText(text("gear.scale", { times: times.toFixed(1) }), w - 6, w < 420 ? h - 20 : h - 6);
}

/**
 * Marks the flank that touches.
 * @param {CanvasRenderingContext2D} pen
 * @param {import("./types.js").Play} play
 * @param {number} worm
 * @param {number} half
 * @param {number} room
 * @param {number} mid
 */
function marks(pen, play, worm, half, room, mid) {
  const touching = play.contact === "driving" ? -1 : play.contact === "leading" ? 1 : 0;
  if (!touching) return;
  const at = worm + touching * (half + room / 2);
  pen.lineWidth = 6;
  pen.strokeStyle = ink("ink");
  pen.beginPath();
  pen.moveTo(at - touching * 3, mid - 12);
  pen.lineTo(at + touching * 3, mid + 12);
  pen.stroke();
  pen.lineWidth = 1.5;
}

/** Draws the loop of axis against motor. */
export function drawLoop() {
  const { pen, width: w, height: h } = prepared(loop, 0.7);
  pen.strokeStyle = ink("grid");
  pen.strokeRect(0.5, 0.5, w - 1, h - 1);
  if (trail.length < 2) return;
  // What was long ago lies far away: the last half degree of the motor's way is enough.
  const last = trail[trail.length - 1];
  const near = trail.filter((one) => Math.abs(one[0] - last[0]) < 1800);
  const [xs, ys] = [near.map((one) => one[0]), near.map((one) => one[1])];
  const [x0, x1, y0, y1] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const span = Math.max(x1 - x0, y1 - y0, 60);
  const [px, py] = [(/** @type {number} */ x) => 8 + ((x - x0) / span) * (w - 16), (/** @type {number} */ y) => h - 8 - ((y - y0) / span) * (h - 16)];
  pen.strokeStyle = ink("truth");
  pen.lineWidth = 1.5;
  pen.beginPath();
  near.forEach(([x, y], index) => (index ? pen.lineTo(px(x), py(y)) : pen.moveTo(px(x), py(y))));
  pen.stroke();
  pen.fillStyle = ink("truth");
  pen.beginPath();
  pen.arc(px(last[0]), py(last[1]), 4, 0, 7);
  pen.fill();
}

/**
 * Writes the numbers, as the bench prints them.
 * @param {Frame} frame
 */
export function sayGear(frame) {
  const play = frame.play[axis];
  const hidden = text("gear.hidden");
  const gap = play.gap === null ? null : Number(play.gap);
  const left = gap === null ? null : sense > 0 ? play.share * gap : (1 - play.share) * gap;
  const rows = [
    ["belief", "gear.motor", `${frame.dial[axis]}°`],
    ["truth", "gear.axis", frame.axis[axis] === null ? hidden : `${frame.axis[axis]}°`],
    ["", "gear.lag", frame.lag[axis] === null ? hidden : `${frame.lag[axis]}″`],
    ["", "gear.gap", play.gap === null ? hidden : `${play.gap}″`],
    ["", "gear.left", left === null ? hidden : `${left.toFixed(2)}″`],
    ["", "gear.contact", text(`contact.${play.contact}`)],
  ];
  fillRows(figures, rows);
  const said = gap === 0 ? "gear.words.no-gap" : `gear.words.${play.contact}`;
  words.textContent = `${text(said)} ${play.loaded ? text("gear.loaded") : ""}`;
}

/**
 * Fills a table of figures; what stands already is changed in place, so that nothing jumps.
 * @param {HTMLElement} body
 * @param {string[][]} rows kind, key of its name (or the name), value
 */
export function fillRows(body, rows) {
  while (body.children.length < rows.length) {
    const row = document.createElement("tr");
    const head = Object.assign(document.createElement("th"), { scope: "row" });
    row.append(head, document.createElement("td"));
    body.append(row);
  }
  while (body.children.length > rows.length) body.lastElementChild?.remove();
  rows.forEach(([kind, name, value], index) => {
    const row = /** @type {HTMLTableRowElement} */ (body.children[index]);
    row.className = kind;
    if (row.cells[0].textContent !== text(name)) row.cells[0].textContent = text(name);
    if (row.cells[1].textContent !== value) row.cells[1].textContent = value;
  });
}
