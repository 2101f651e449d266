// @ts-check
// Where it thinks, where it is: the sky unrolled like the inside of a drum, azimuth along, altitude up.
import { fillRows } from "./gear.js";
import { ink, prepared, size } from "./measures.js";
import { text } from "./texts.js";

/** @typedef {import("./types.js").Frame} Frame */
/** @typedef {import("./types.js").Sky} Sky */

const canvas = /** @type {HTMLCanvasElement} */ (document.getElementById("sky-view"));
const figures = /** @type {HTMLElement} */ (document.getElementById("sky-figures"));
const words = /** @type {HTMLElement} */ (document.getElementById("sky-words"));
/** Magnitude of stars whose names are written. */
const NAMED = 1.3;

/**
 * @param {Frame} frame
 * @param {Sky} sky
 */
export function drawSky(frame, sky) {
  const { pen, width: w, height: h } = prepared(canvas, 0.62);
  const [left, right, top, bottom] = [26, w - 4, 8, h - 22];
  // South, or north on the other half of the Earth, is in the middle.
  const start = sky.latitude >= 0 ? 0 : 180;
  const x = (/** @type {number} */ azimuth) => left + ((((azimuth - start) % 360) + 360) % 360) * ((right - left) / 360);
  const y = (/** @type {number} */ altitude) => bottom - (altitude / 90) * (bottom - top);
  pen.font = `11px ${ink("mono")}`;
  grid(pen, x, y, start, [left, right, top, bottom]);
  // What lies behind the skyline is hatched.
  pen.strokeStyle = ink("faint");
  pen.beginPath();
  for (const [azimuth, altitude] of sky.skyline) {
    pen.moveTo(x(azimuth), bottom);
    pen.lineTo(x(azimuth) + 3, y(Math.max(altitude, 0)));
  }
  pen.stroke();
  pen.setLineDash([2, 4]);
  pen.beginPath();
  for (const limit of [sky.bounds[0], sky.bounds[1]]) {
    if (limit <= 0 || limit >= 90) continue;
    pen.moveTo(left, y(limit));
    pen.lineTo(right, y(limit));
    pen.fillText(text("sky.limit"), right - 30, y(limit) - 3);
  }
  pen.stroke();
  pen.setLineDash([]);
  pen.textAlign = "left";
  for (const [name, magnitude, azimuth, altitude] of sky.marks) {
    pen.fillStyle = ink("ink");
    pen.beginPath();
    const radius = magnitude === null ? 3 : Math.max(3 - 0.7 * magnitude, 0.7);
    pen.arc(x(azimuth), y(altitude), radius, 0, 7);
    if (magnitude === null) pen.stroke();
    else pen.fill();
    if (magnitude === null || magnitude < NAMED) {
      pen.fillStyle = ink("faint");
      pen.fillText(name, x(azimuth) + 4, y(altitude) - 3);
    }
  }
  if (frame.sun[1] > -8) sun(pen, frame.sun, sky.bounds[2], x, y, bottom);
  tube(pen, frame, x, y, [left, right, top, bottom]);
}

/**
 * @param {CanvasRenderingContext2D} pen
 * @param {(azimuth: number) => number} x
 * @param {(altitude: number) => number} y
 * @param {number} start
 * @param {number[]} frame
 */
function grid(pen, x, y, start, [left, right, top, bottom]) {
  pen.strokeStyle = ink("grid");
  pen.fillStyle = ink("faint");
  pen.beginPath();
  for (const altitude of [0, 30, 60, 90]) {
    pen.moveTo(left, y(altitude));
    pen.lineTo(right, y(altitude));
    pen.textAlign = "right";
    pen.fillText(`${altitude}°`, left - 2, y(altitude) + 4);
  }
  const names = text("compass").split(",");
  for (let turn = 0; turn < 360; turn += 45) {
    const azimuth = (start + turn) % 360;
    pen.moveTo(x(azimuth), top);
    pen.lineTo(x(azimuth), bottom);
    pen.textAlign = turn === 0 ? "left" : "center";
    pen.fillText(names[azimuth / 45], x(azimuth), bottom + 14);
  }
  pen.stroke();
  pen.strokeStyle = ink("ink");
  pen.strokeRect(left, top, right - left, bottom - top);
  const meridian = x((start + 180) % 360);
  pen.setLineDash([10, 3, 2, 3]);
  pen.beginPath();
  pen.moveTo(meridian, top);
  pen.lineTo(meridian, bottom);
  pen.stroke();
  pen.setLineDash([]);
  pen.textAlign = "left";
  pen.fillText(text("sky.meridian"), meridian + 3, top + 11);
}

/**
 * The Sun and the circle that the mount keeps out of.
 * @param {CanvasRenderingContext2D} pen
 * @param {[number, number]} at
 * @param {number} radius
 * @param {(azimuth: number) => number} x
 * @param {(altitude: number) => number} y
 * @param {number} bottom
 */
function sun(pen, at, radius, x, y, bottom) {
  const [a0, h0, r] = [at[0], at[1], radius].map((degrees) => (degrees * Math.PI) / 180);
  pen.save();
  pen.beginPath();
  pen.rect(0, 0, 9999, bottom);
  pen.clip();
  pen.strokeStyle = ink("warn");
  pen.fillStyle = ink("warn");
  pen.setLineDash([1, 3]);
  pen.lineWidth = 3;
  pen.beginPath();
  for (let step = 0; step <= 72; step += 1) {
    const q = (step / 72) * 2 * Math.PI;
    const h = Math.asin(Math.sin(h0) * Math.cos(r) + Math.cos(h0) * Math.sin(r) * Math.cos(q));
    const a = a0 + Math.atan2(Math.sin(q) * Math.sin(r) * Math.cos(h0), Math.cos(r) - Math.sin(h0) * Math.sin(h));
    pen.moveTo(x((a * 180) / Math.PI), y((h * 180) / Math.PI));
    pen.lineTo(x((a * 180) / Math.PI) + 1, y((h * 180) / Math.PI));
  }
  pen.stroke();
  pen.setLineDash([]);
  pen.beginPath();
  pen.arc(x(at[0]), y(at[1]), 6, 0, 7);
  pen.fill();
  pen.fillText(text("sky.sun"), x(at[0]) + 9, y(at[1]) + 4);
  pen.restore();
  pen.lineWidth = 1;
}

/**
 * Belief and truth as two marks, the miss as an arrow; a small one is drawn larger beside, with its factor.
 * @param {CanvasRenderingContext2D} pen
 * @param {Frame} frame
 * @param {(azimuth: number) => number} x
 * @param {(altitude: number) => number} y
 * @param {number[]} bounds
 */
function tube(pen, frame, x, y, [left, right, top, bottom]) {
  const [bx, by] = [x(Number(frame.belief[0])), y(Number(frame.belief[1]))];
  const [tx, ty] = [x(Number(frame.truth[0])), y(Number(frame.truth[1]))];
  both(pen, [bx, by], [tx, ty]);
  const gap = Math.hypot(Number(frame.gap[0]), Number(frame.gap[1]));
  if (gap < 1 || Math.hypot(tx - bx, ty - by) > 24) return;
  // A drawing of its own: so many times as large that the arrow can be seen.
  const perArcsec = (bottom - top) / 90 / 3600;
  const times = 10 ** Math.floor(Math.log10(45 / (gap * perArcsec)));
  // On the side where the tube isn't.
  const [cx, cy] = [bx < (left + right) / 2 ? right - 58 : left + 58, top + 56];
  pen.fillStyle = ink("sheet");
  pen.fillRect(cx - 52, cy - 50, 104, 104);
  pen.strokeStyle = ink("ink");
  pen.strokeRect(cx - 52, cy - 50, 104, 104);
  const k = perArcsec * times;
  // East is on the left where one looks south.
  both(pen, [cx, cy], [cx - Number(frame.gap[0]) * k, cy - Number(frame.gap[1]) * k]);
  pen.fillStyle = ink("ink");
  pen.textAlign = "left";
  pen.fillText(text("sky.inset", { times }), cx - 48, cy + 50);
}

/**
 * @param {CanvasRenderingContext2D} pen
 * @param {[number, number]} belief
 * @param {[number, number]} truth
 */
function both(pen, belief, truth) {
  pen.lineWidth = 2;
  pen.strokeStyle = ink("belief");
  pen.setLineDash([3, 2]);
  pen.strokeRect(belief[0] - 7, belief[1] - 7, 14, 14);
  pen.setLineDash([]);
  pen.strokeStyle = ink("truth");
  pen.fillStyle = ink("truth");
  pen.beginPath();
  pen.arc(truth[0], truth[1], 4, 0, 7);
  pen.fill();
  const [dx, dy] = [truth[0] - belief[0], truth[1] - belief[1]];
  const length = Math.hypot(dx, dy);
  if (length > 8) {
    const [ux, uy] = [dx / length, dy / length];
    const tip = [truth[0] - ux * 5, truth[1] - uy * 5];
    pen.beginPath();
    pen.moveTo(belief[0], belief[1]);
    pen.lineTo(tip[0], tip[1]);
    pen.moveTo(tip[0], tip[1]);
    pen.lineTo(tip[0] - ux * 8 - uy * 4, tip[1] - uy * 8 + ux * 4);
    pen.moveTo(tip[0], tip[1]);
    pen.lineTo(tip[0] - ux * 8 + uy * 4, tip[1] - uy * 8 - ux * 4);
    pen.stroke();
  }
  pen.lineWidth = 1;
}

/**
 * @param {Frame} frame
 */
export function saySky(frame) {
  const rows = [
    ["belief", "sky.belief", `${frame.belief[0]}° ${frame.belief[1]}°`],
    ["truth", "sky.truth", `${frame.truth[0]}° ${frame.truth[1]}°`],
    ["", "sky.gap", `${frame.gap[0]}″ ${frame.gap[1]}″`],
  ];
  if (frame.target) {
    rows.push(["", text("sky.target", { name: frame.target.name }), `${frame.target.error[0]}″ ${frame.target.error[1]}″`]);
  }
  fillRows(figures, rows);
  const gap = Math.hypot(Number(frame.gap[0]), Number(frame.gap[1]));
  words.textContent = text("sky.words", { gap: size(gap), side: text(`side.${frame.side}`) });
}
