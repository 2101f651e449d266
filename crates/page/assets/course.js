// @ts-check
// Over time: the errors in both axes, by a plotting library.
import { ink, size } from "./measures.js";
import { text } from "./texts.js";
import { ask } from "./wire.js";

const view = /** @type {HTMLElement} */ (document.getElementById("time-view"));
const words = /** @type {HTMLElement} */ (document.getElementById("time-words"));
const eventWords = /** @type {HTMLElement} */ (document.getElementById("time-events"));
const span = /** @type {HTMLSelectElement} */ (document.getElementById("time-span"));
for (const minutes of [5, 15, 30, 60, 120]) span.append(new Option(text("time.minutes", { n: minutes }), String(minutes)));
span.value = "30";

/** @type {any} the library's, which has no module of its own */
const Plot = /** @type {any} */ (window).uPlot;
/** @type {any} */
let plot = null;
/** @type {[number, number | null, number | null][]} */
let moments = [];
/** @type {{ at: number, text: string }[]} */
let events = [];
let night = -1;
let last = 0;
let asking = false;

/** How large the plot may be; how high it is the sheet says. */
const room = () => ({ width: Math.max(view.clientWidth, 200), height: Number(getComputedStyle(view).getPropertyValue("--tall")) });

/** Draws the plot anew, after the light or the width has changed. */
export function renewPlot() {
  plot?.destroy();
  const stroke = ink("ink");
  const axis = { stroke, grid: { stroke: ink("grid") }, ticks: { stroke: ink("grid") }, font: `12px ${ink("mono")}` };
  const options = {
    ...room(),
    cursor: { drag: { x: false, y: false } },
    scales: { x: { time: false } },
    axes: [{ ...axis, label: text("time.axis"), labelFont: `12px ${ink("mono")}`, labelSize: 18 }, { ...axis, size: 62 }],
    series: [
      { label: text("time.axis") },
      { label: text("time.east"), stroke: ink("truth"), width: 2, points: { show: false } },
      { label: text("time.north"), stroke: ink("belief"), width: 2, dash: [7, 4], points: { show: false } },
    ],
    hooks: { draw: [marks] },
  };
  plot = new Plot(options, columns(), view);
}

/**
 * Events as ticks at the foot of the plot.
 * @param {any} drawn
 */
function marks(drawn) {
  const now = moments.at(-1)?.[0];
  if (now === undefined) return;
  const pen = drawn.ctx;
  pen.save();
  pen.strokeStyle = ink("faint");
  pen.beginPath();
  for (const event of events) {
    const x = drawn.valToPos((event.at - now) / 60, "x", true);
    if (x < drawn.bbox.left || x > drawn.bbox.left + drawn.bbox.width) continue;
    pen.moveTo(x, drawn.bbox.top + drawn.bbox.height);
    pen.lineTo(x, drawn.bbox.top + drawn.bbox.height - 12);
  }
  pen.stroke();
  pen.restore();
}

/** The moments of the chosen span as the library wants them. */
function columns() {
  const now = moments.at(-1)?.[0] ?? 0;
  const from = now - Number(span.value) * 60;
  const shown = moments.filter((one) => one[0] >= from);
  return [shown.map((one) => (one[0] - now) / 60), shown.map((one) => one[1]), shown.map((one) => one[2])];
}

/**
 * Notes an event that the mount has told.
 * @param {number} at seconds
 * @param {string} told
 */
export function noteEvent(at, told) {
  events.push({ at, text: told });
  if (events.length > 40) events.shift();
  eventWords.textContent = text("time.events", { list: events.slice(-4).map((event) => event.text).join("; ") });
}

/** Asks for what has come since, and draws it. */
export async function renewCourse() {
  if (asking || !plot) return;
  asking = true;
  try {
    const answer = await ask(`api/course?after=${last}&night=${Math.max(night, 0)}`);
    if (answer.night !== night) {
      moments = [];
      events = [];
      eventWords.textContent = "";
      night = answer.night;
    }
    last = answer.last;
    moments.push(...answer.moments.map((/** @type {any[]} */ one) => [one[0], one[1], one[2]]));
    if (moments.length > 8000) moments = moments.slice(-7200);
    plot.setData(columns());
    say();
  } catch {
    // The feed tells of a lost connection.
  } finally {
    asking = false;
  }
}

function say() {
  const [minutes, east, north] = columns();
  const figures = (/** @type {(number | null)[]} */ all) => {
    const known = all.map((value, index) => [minutes[index], value]).filter((pair) => pair[1] !== null);
    if (known.length < 3) return null;
    const values = known.map((pair) => Number(pair[1]));
    const mean = (/** @type {number[]} */ list) => list.reduce((sum, value) => sum + value, 0) / list.length;
    const times = known.map((pair) => Number(pair[0]));
    const [mt, mv] = [mean(times), mean(values)];
    const slope = times.reduce((sum, t, i) => sum + (t - mt) * (values[i] - mv), 0) / times.reduce((sum, t) => sum + (t - mt) ** 2, 0);
    const signed = (/** @type {number} */ value) => `${value < 0 ? "−" : "+"}${size(value)}`;
    return [values[values.length - 1], Math.min(...values), Math.max(...values), slope].map(signed);
  };
  const [e, n] = [figures(east), figures(north)];
  words.textContent = e && n
    ? text("time.words", { e: e[0], e0: e[1], e1: e[2], es: e[3], n: n[0], n0: n[1], n1: n[2], ns: n[3] })
    : text("time.none");
}

new ResizeObserver(() => {
  const { width, height } = room();
  if (plot && (Math.abs(plot.width - width) > 4 || plot.height !== height)) plot.setSize({ width, height });
}).observe(view);
