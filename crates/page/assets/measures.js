// @ts-check
// Angles as people read them, in the unit that is chosen.
import { text } from "./texts.js";

/** @type {{ unit: "arcmin" | "field", field: number }} the field in arcminutes */
export const chosen = { unit: "arcmin", field: 50 };

/**
 * The size of an angle that is given in arcseconds.
 * @param {number} arcsec
 * @returns {string}
 */
export function size(arcsec) {
  const value = Math.abs(arcsec);
  if (chosen.unit === "field") {
    const fields = value / 60 / chosen.field;
    return `${fields.toFixed(fields < 0.1 ? 3 : 2)} fields`;
  }
  if (value < 60) return `${value.toFixed(1)}″`;
  if (value < 7200) return `${(value / 60).toFixed(1)}′`;
  return `${(value / 3600).toFixed(1)}°`;
}

/**
 * An angle in arcminutes as the width of a field.
 * @param {number} arcmin
 */
export function width(arcmin) {
  return arcmin < 120 ? `${arcmin.toFixed(0)}′` : `${(arcmin / 60).toFixed(1)}°`;
}

/**
 * A component with its direction: 30 to the east.
 * @param {number} arcsec
 * @param {string} positive
 * @param {string} negative
 */
export function toward(arcsec, positive, negative) {
  return text("to", { size: size(arcsec), way: text(arcsec < 0 ? negative : positive) });
}

/**
 * A canvas made ready: as sharp as the screen, in pixels of the page.
 * @param {HTMLCanvasElement} canvas
 * @param {number} ratio height by width
 */
export function prepared(canvas, ratio) {
  const width = canvas.clientWidth || 300;
  const height = Math.round(width * ratio);
  const dense = Math.min(window.devicePixelRatio || 1, 2);
  if (canvas.width !== Math.round(width * dense) || canvas.height !== Math.round(height * dense)) {
    canvas.width = Math.round(width * dense);
    canvas.height = Math.round(height * dense);
    canvas.style.height = `${height}px`;
  }
  const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
  pen.setTransform(dense, 0, 0, dense, 0, 0);
  pen.clearRect(0, 0, width, height);
  return { pen, width, height };
}

/** @type {Record<string, string>} */
let inks = {};

/** Reads the colours of the sheet anew, after the light has changed. */
export function readInks() {
  const style = getComputedStyle(document.body);
  const names = ["paper", "sheet", "grid", "ink", "faint", "truth", "belief", "warn", "dark", "star", "dark-ink", "mono"];
  inks = Object.fromEntries(names.map((name) => [name, style.getPropertyValue(`--${name}`).trim()]));
}

/**
 * A colour of the sheet.
 * @param {string} name
 */
export function ink(name) {
  return inks[name] ?? "#000";
}

/**
 * A dimension line, as in a drawing: two ticks, a line, its measure in the middle.
 * @param {CanvasRenderingContext2D} pen
 * @param {number} x0
 * @param {number} x1
 * @param {number} y
 * @param {string} label
 */
export function dimension(pen, x0, x1, y, label) {
  pen.beginPath();
  for (const x of [x0, x1]) {
    pen.moveTo(x, y - 5);
    pen.lineTo(x, y + 5);
    pen.moveTo(x - 3, y + 3);
    pen.lineTo(x + 3, y - 3);
  }
  pen.moveTo(x0, y);
  pen.lineTo(x1, y);
  pen.stroke();
  pen.textAlign = "center";
  pen.fillText(label, (x0 + x1) / 2, y - 4);
}
