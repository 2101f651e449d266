// @ts-check
// The page itself: frames come in, panels are drawn.
import { noteEvent, renewCourse, renewPlot } from "./course.js";
import { drawGlasses, sayGlasses, takeSky } from "./eyepiece.js";
import { drawGear, drawLoop, sayGear, shownAxis, takeFrame } from "./gear.js";
import { clearTraffic, letGo, showLine, takeControl, takeHands, takeHello } from "./hands.js";
import { renewLessons, takeLesson } from "./lessons.js";
import { chosen, readInks, size } from "./measures.js";
import { drawSky, saySky } from "./sky.js";
import { fillPage, text } from "./texts.js";
import { offerLinked, takeTrims } from "./trims.js";
import { connect } from "./wire.js";

/** @typedef {import("./types.js").Frame} Frame */
/** @typedef {import("./types.js").Room} Room */

const still = matchMedia("(prefers-reduced-motion: reduce)");
const element = (/** @type {string} */ id) => /** @type {HTMLElement} */ (document.getElementById(id));
const banner = element("banner");

/** @type {Frame | null} */
let before = null;
/** @type {Frame | null} */
let frame = null;
/** @type {Room | null} */
let room = null;
let came = 0;
let lasted = 50;
let spoken = "";
let painted = 0;
/** Pictures drawn, for whoever measures. */
let drawn = 0;
Object.defineProperty(window, "benchDrawn", { get: () => drawn });

fillPage();
readInks();

const units = /** @type {HTMLSelectElement} */ (element("units"));
for (const name of ["arcmin", "field"]) units.append(new Option(text(`units.${name}`), name));
units.onchange = () => {
  chosen.unit = /** @type {"arcmin" | "field"} */ (units.value);
};
const night = element("night");
night.onclick = () => light(!document.body.classList.contains("night"));

/** @param {boolean} red */
function light(red) {
  document.body.classList.toggle("night", red);
  night.setAttribute("aria-pressed", String(red));
  localStorage.setItem("night", red ? "red" : "");
  readInks();
  renewPlot();
}

/**
 * A number between two frames, so that motion looks even; jumps stay jumps.
 * @param {number} a
 * @param {number} b
 * @param {number} part
 * @param {number} most
 */
const between = (a, b, part, most) => (Math.abs(b - a) > most ? b : a + (b - a) * part);

/** @param {number} now */
function paint(now) {
  requestAnimationFrame(paint);
  if (!frame || !room || document.hidden) return;
  // With reduced motion twice a second, and nothing in between.
  if (still.matches && now - painted < 500) return;
  painted = now;
  const part = still.matches || !before ? 1 : Math.min((now - came) / lasted, 1);
  const old = before ?? frame;
  const axis = shownAxis();
  const wheel = (/** @type {Frame} */ one) => (Number(one.dial[axis]) * 3600 - Number(one.lag[axis] ?? 0));
  const smooth = { ...frame, eyepiece: frame.eyepiece.map((one) => {
    const last = old.eyepiece.find((other) => other[0] === one[0]);
    if (!last) return one;
    return /** @type {import("./types.js").Seen} */ ([one[0], one[1], one[2], between(last[3], one[3], part, 30), between(last[4], one[4], part, 30), one[5]]);
  }) };
  drawGlasses(smooth, room.sky.finder, still.matches ? null : now);
  const share = between(old.play[axis].share, frame.play[axis].share, part, 2);
  drawGear(frame, between(wheel(old), wheel(frame), part, 4000), share, room.sky.teeth[axis]);
  drawn += 1;
}

/** What changes slowly, four times a second: words and figures, the sky, the loop. */
function paintSlowly() {
  if (!frame || !room) return;
  sayGlasses(frame, room.sky.finder);
  sayGear(frame);
  drawLoop();
  drawSky(frame, room.sky);
  saySky(frame);
  element("state").textContent = text(`state.${frame.state}`);
  element("clock").textContent = text("believes", { clock: frame.clock ?? "" });
}

/** Says aloud what has changed in words, for whoever doesn't see it; not more often than every three seconds. */
function speak() {
  if (!frame) return;
  const miss = frame.target ? Math.hypot(Number(frame.target.error[0]), Number(frame.target.error[1])) : 0;
  const target = frame.target ? text("says.target", { name: frame.target.name, miss: size(Math.round(miss / 6) * 6) }) : text("says.none");
  const now = text("says", { state: text(`state.${frame.state}`), target });
  if (now !== spoken) element("said").textContent = now;
  spoken = now;
}

connect({
  hello(hello) {
    banner.hidden = true;
    takeHello(hello);
    clearTraffic();
    renewLessons();
    offerLinked();
    document.body.dataset.connected = "yes";
  },
  frame(now) {
    const time = performance.now();
    lasted = Math.min(Math.max(time - came, 20), 200);
    came = time;
    before = frame && frame.night === now.night ? frame : null;
    const first = !frame;
    frame = now;
    takeFrame(now);
    takeHands(now);
    if (first) paintSlowly();
  },
  room(now) {
    const first = !room;
    room = now;
    takeSky(now.sky);
    takeTrims(now);
    takeLesson(now).then(() => room && takeControl(room));
    takeControl(now);
    element("title").textContent = now.title;
    element("block-night").textContent = now.title;
    if (first) paintSlowly();
  },
  line(spoken) {
    showLine(spoken);
    if (spoken.way === "<" && spoken.text.startsWith("* ") && frame) noteEvent(frame.at, spoken.text.slice(2));
  },
  lost(why) {
    letGo();
    frame = null;
    delete document.body.dataset.connected;
    banner.hidden = false;
    banner.textContent = text(why);
  },
});

light(localStorage.getItem("night") === "red");
requestAnimationFrame(paint);
setInterval(paintSlowly, 250);
setInterval(speak, 3000);
setInterval(renewCourse, 1000);
