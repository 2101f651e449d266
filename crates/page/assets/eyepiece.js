// @ts-check
// Through the eyepiece, and the finder beside it.
import { chosen, dimension, ink, prepared, size, toward, width } from "./measures.js";
import { text } from "./texts.js";

/** @typedef {import("./types.js").Frame} Frame */
/** @typedef {import("./types.js").Seen} Seen */
/** @typedef {import("./types.js").Sky} Sky */

const canvas = /** @type {HTMLCanvasElement} */ (document.getElementById("eyepiece-view"));
const finder = /** @type {HTMLCanvasElement} */ (document.getElementById("finder-view"));
const words = /** @type {HTMLElement} */ (document.getElementById("eyepiece-words"));
const finderWords = /** @type {HTMLElement} */ (document.getElementById("finder-words"));
const which = /** @type {HTMLSelectElement} */ (document.getElementById("which"));
const view = /** @type {HTMLSelectElement} */ (document.getElementById("view"));
/** Arcseconds by which the air blurs a star. */
const SEEING = 2;

let known = "";

/**
 * Takes the eyepieces of the night.
 * @param {Sky} sky
 */
export function takeSky(sky) {
  const now = JSON.stringify([sky.eyepieces, sky.view]);
  if (now === known) return;
  known = now;
  which.replaceChildren(...sky.eyepieces.map((one) => new Option(text("eyepiece.one", { name: one.name, times: one.times, field: width(one.field) }), String(one.field))));
  view.value = sky.view;
  chosen.field = Number(which.value) || 50;
}

for (const name of ["upright", "inverted", "mirrored"]) view.append(new Option(text(`view.${name}`), name));
which.onchange = () => {
  chosen.field = Number(which.value);
};

/** How the chosen view turns what is upright. */
function turned() {
  return { upright: [1, 1], inverted: [-1, -1], mirrored: [-1, 1] }[view.value] ?? [1, 1];
}

/**
 * @param {HTMLCanvasElement} canvas
 * @param {Seen[]} seen
 * @param {number} field arcminutes
 * @param {number[]} way signs of right and up
 * @param {Frame} frame
 * @param {number | null} time milliseconds, for the air; null for still air
 * @param {boolean} cross
 */
function draw(canvas, seen, field, way, frame, time, cross) {
  const { pen, width: w, height: h } = prepared(canvas, 1 + 24 / (canvas.clientWidth || 300));
  const [cx, cy, r] = [w / 2, w / 2, w / 2 - 3];
  const scale = (2 * r) / field;
  pen.save();
  pen.beginPath();
  pen.arc(cx, cy, r, 0, 7);
  pen.fillStyle = ink("dark");
  pen.fill();
  pen.clip();
  pen.font = `11px ${ink("mono")}`;
  pen.textAlign = "left";
  const place = (/** @type {Seen} */ one) => [cx + way[0] * one[3] * scale, cy - way[1] * one[4] * scale];
  for (const one of seen.filter((one) => one[1] !== "star")) {
    const [x, y] = place(one);
    const radius = Math.max((one[5] / 2) * scale, 3);
    pen.beginPath();
    pen.arc(x, y, radius, 0, 7);
    pen.strokeStyle = ink("dark-ink");
    pen.fillStyle = one[1] === "body" ? ink("star") : "rgb(185 196 207 / 14%)";
    pen.setLineDash(one[1] === "body" ? [] : [3, 3]);
    pen.fill();
    pen.stroke();
    pen.setLineDash([]);
    pen.fillStyle = ink("dark-ink");
    pen.fillText(one[0], x + radius * 0.7 + 3, y - radius * 0.7);
  }
  let number = 0;
  for (const one of seen.filter((one) => one[1] === "star")) {
    let [x, y] = place(one);
    number += 1;
    if (time !== null) {
      // The air: a slow sway of some tenths of its blur, the same for every viewer.
      const sway = (SEEING / 60) * scale * 0.5;
      x += sway * Math.sin(time / 310 + number * 1.7) + sway * 0.6 * Math.sin(time / 97 + number);
      y += sway * Math.cos(time / 270 + number * 2.3) + sway * 0.6 * Math.sin(time / 113 + number * 3);
    }
    const magnitude = one[2] ?? 6;
    const radius = Math.max(4.6 - 0.62 * magnitude, 0.9) * Math.max(w / 320, 0.6) + ((SEEING / 60) * scale) / 2;
    pen.beginPath();
    pen.arc(x, y, radius, 0, 7);
    pen.fillStyle = ink("star");
    pen.fill();
    if (magnitude < 3.5 || one[0] === frame.target?.name) {
      pen.fillStyle = ink("dark-ink");
      pen.fillText(one[0], x + radius + 4, y + 4);
    }
  }
  if (cross) {
    pen.strokeStyle = ink("dark-ink");
    pen.beginPath();
    pen.moveTo(cx - r, cy);
    pen.lineTo(cx + r, cy);
    pen.moveTo(cx, cy - r);
    pen.lineTo(cx, cy + r);
    pen.stroke();
  }
  pen.restore();
  pen.strokeStyle = ink("ink");
  pen.fillStyle = ink("ink");
  pen.lineWidth = 2;
  pen.beginPath();
  pen.arc(cx, cy, r, 0, 7);
  pen.stroke();
  pen.lineWidth = 1;
  pen.font = `12px ${ink("mono")}`;
  compass(pen, cx, cy, r, way, frame.field_angle);
  dimension(pen, cx - r, cx + r, h - 6, width(field));
}

/**
 * Marks of north and east at the field stop.
 * @param {CanvasRenderingContext2D} pen
 * @param {number} cx
 * @param {number} cy
 * @param {number} r
 * @param {number[]} way
 * @param {number} angle position angle of upwards, degrees
 */
function compass(pen, cx, cy, r, way, angle) {
  const a = (angle * Math.PI) / 180;
  // Upright, north stands clockwise of up by the position angle, and east to the left of north.
  for (const [name, right, up] of /** @type {[string, number, number][]} */ ([["N", Math.sin(a), Math.cos(a)], ["E", -Math.cos(a), Math.sin(a)]])) {
    const [x, y] = [way[0] * right, -way[1] * up];
    pen.strokeStyle = ink("dark-ink");
    pen.fillStyle = ink("dark-ink");
    pen.beginPath();
    pen.moveTo(cx + x * r, cy + y * r);
    pen.lineTo(cx + x * (r - 10), cy + y * (r - 10));
    pen.stroke();
    pen.textAlign = "center";
    pen.fillText(name, cx + x * (r - 19), cy + y * (r - 19) + 4);
  }
  pen.strokeStyle = ink("ink");
  pen.fillStyle = ink("ink");
}

/**
 * Draws both glasses.
 * @param {Frame} frame
 * @param {number} finderField arcminutes
 * @param {number | null} time
 */
export function drawGlasses(frame, finderField, time) {
  draw(canvas, frame.eyepiece, chosen.field, turned(), frame, time, false);
  draw(finder, frame.finder, finderField, [1, 1], frame, null, true);
}

/**
 * Says what there is to see.
 * @param {Frame} frame
 * @param {number} finderField
 */
export function sayGlasses(frame, finderField) {
  const inside = frame.eyepiece.filter((one) => Math.hypot(one[3], one[4]) <= chosen.field / 2);
  let target = "";
  if (frame.target) {
    const [east, north] = frame.target.error.map(Number);
    const miss = Math.hypot(east, north);
    const fill = { name: frame.target.name, miss: size(miss), east: toward(-east, "east", "west"), north: toward(-north, "north", "south") };
    target = text(miss / 60 <= chosen.field / 2 ? "eyepiece.target" : "eyepiece.outside", fill);
  }
  words.textContent = inside.length ? text("eyepiece.words", { count: inside.length, target }) : `${text("eyepiece.nothing")} ${target}`;
  const names = frame.finder.filter((one) => (one[2] ?? 9) < 4.5 || one[1] === "body").map((one) => one[0]);
  finderWords.textContent = names.length ? text("finder.words", { field: width(finderField), names: names.slice(0, 8).join(", ") }) : text("finder.nothing", { field: width(finderField) });
}
