// @ts-check
// Every English word of the page stands here; `{name}` is filled in. A translation is another file of the same keys.

/** @type {Record<string, string>} */
export const TEXTS = {
  "skip": "Go to the direction keys",
  "tools": "Time, units, night, stop",
  "speed": "Time",
  "speed.pause": "pause",
  "speed.times": "×{n}",
  "units": "Angles in",
  "units.arcmin": "arcminutes",
  "units.field": "fractions of the field",
  "night": "Red light",
  "stop": "Stop (Esc)",
  "lost": "The connection is lost; the mount lets go of held keys by itself. Trying again …",
  "full": "There is no room for more viewers, or the server has gone. Trying again …",
  "state.resting": "resting", "state.tracking": "following the sky", "state.nudging": "moved by the keys",
  "state.slewing": "on its way", "state.stopping": "braking", "state.parked": "parked",
  "believes": "its clock: {clock}",
  "says": "{state}. {target}",
  "says.target": "{name} stands {miss} beside the middle.",
  "says.none": "It has reached no target yet.",
  "eyepiece.panel": "A · Through the eyepiece",
  "eyepiece.which": "Eyepiece", "eyepiece.one": "{name}, ×{times}, {field}",
  "eyepiece.view": "As seen", "view.upright": "upright", "view.inverted": "turned over", "view.mirrored": "mirrored by a diagonal",
  "eyepiece.note": "Stars to magnitude 6.5 and nebulae of the catalogue, at true scale; the blur of the air is drawn at 2 arcseconds, never smaller than a dot. On the left the eyepiece, on the right the finder.",
  "eyepiece.nothing": "No star of the catalogue stands in the field.",
  "eyepiece.words": "{count} in the field. {target}",
  "eyepiece.target": "{name} is {miss} from the middle: {east}, {north}.",
  "eyepiece.outside": "{name} is outside the field: {miss} away.",
  "finder.words": "Finder, {field} wide: {names}.", "finder.nothing": "The finder, {field} wide, shows no bright star.",
  "east": "east", "west": "west", "north": "north", "south": "south", "up": "up", "down": "down", "left": "left", "right": "right",
  "to": "{size} to the {way}",
  "gear.panel": "C · Inside the gear", "gear.which": "Axis",
  "axis.hour": "hour axis", "axis.declination": "declination axis", "axis.azimuth": "azimuth axis", "axis.altitude": "altitude axis",
  "gear.motor": "motor, by its counter", "gear.axis": "axis, truly", "gear.lag": "motor − axis", "gear.gap": "gap here", "gear.left": "to be taken up", "gear.contact": "flank that touches", "gear.hidden": "hidden",
  "contact.driving": "driving", "contact.leading": "leading", "contact.none": "none",
  "gear.loop": "axis against motor, the last minutes: a loop as wide as the gap",
  "gear.scale": "gap drawn {times}× too wide against the tooth",
  "gear.worm": "worm (motor)", "gear.wheel": "wheel (axis)",
  "gear.words.driving": "The driving flank touches: the wheel follows as the motor goes on.",
  "gear.words.leading": "The leading flank touches: the wheel follows as the motor goes back.",
  "gear.words.none": "Neither flank touches: the motor turns, the wheel stands.",
  "gear.words.no-gap": "This gear has no play.",
  "gear.loaded": "The load holds the wheel.",
  "sky.panel": "D · Where it thinks, where it is",
  "sky.belief": "it believes", "sky.truth": "it points", "sky.gap": "gap", "sky.target": "{name}", "sky.note": "Azimuth and altitude; gap: truth − belief, and for a target boresight − target, to the east and to the north.",
  "sky.words": "The tube points {gap} beside where the mount believes. {side}",
  "side.west": "The tube hangs west of the pier.", "side.east": "The tube hangs east of the pier.", "side.none": "",
  "sky.meridian": "meridian", "sky.sun": "Sun: keep out", "sky.limit": "limit", "sky.inset": "miss ×{times}",
  "compass": "N,NE,E,SE,S,SW,W,NW",
  "time.panel": "E · Over time: boresight − target", "time.span": "Show the last", "time.minutes": "{n} min",
  "time.east": "east ″", "time.north": "north ″", "time.axis": "minutes ago",
  "time.words": "East: now {e}, from {e0} to {e1}, going {es} a minute. North: now {n}, from {n0} to {n1}, going {ns} a minute.",
  "time.none": "Send the mount to something in the sky: its errors are drawn from then on.",
  "time.events": "Last events: {list}",
  "hands.panel": "B · Hands", "hands.keys": "Direction keys", "hands.rate": "Rate",
  "hands.goto": "Go to", "hands.go": "Go",
  "hands.sync": "It is in the middle: sync", "hands.sight": "It is in the middle: sight", "hands.propose": "Propose a star", "hands.centre": "Centre it for me", "hands.home": "Home", "hands.track": "Follow the sky",
  "hands.note": "Hold a key, or an arrow key of the keyboard, as long as you want to move; let go and it stops. It stops, too, when this page loses focus or the connection breaks. While a key is held time runs as on the wall.",
  "hands.no-target": "Send the mount to something first.",
  "line.panel": "G · The line to the mount", "line.title": "The line to the mount", "line.type": "Line to the mount", "line.send": "Send",
  "control.mine": "You hold the controls. {here} here.", "control.other": "Somebody else holds the controls. {here} here.", "control.viewer": "You are looking on. {here} here.", "control.take": "Take the controls",
  "errors.panel": "F · What is wrong with this mount",
  "errors.note": "A slider changes the mount where it stands: motors, counters and all that it believes stay as they are, as if somebody had done the work while time stood still. What it was told (clock, latitude) is typed at it over the line.",
  "errors.usual": "usual: {a} to {b} {unit}", "errors.on": "on", "errors.value": "{name}, in {unit}",
  "errors.reset": "Begin the night anew", "errors.knock": "Knock (20 arcmin)", "errors.surprise": "Surprise me", "errors.number": "Surprise number", "errors.reveal": "Tell the hidden errors", "errors.file": "Scenario file", "errors.load": "Load a scenario", "errors.link": "Copy a link", "errors.copied": "The link is in the clipboard.", "errors.hidden": "Some errors are hidden. Find them by what the stars do, then have them told.",
  "errors.from-link": "This link brings errors along.", "errors.apply": "Use them",
  "trim.hour-play": "Play, hour axis", "trim.declination-play": "Play, declination axis", "trim.azimuth-play": "Play, azimuth axis", "trim.altitude-play": "Play, altitude axis",
  "trim.hour-wave": "Wave of the worm, hour axis", "trim.declination-wave": "Wave of the worm, declination axis", "trim.azimuth-wave": "Wave of the worm, azimuth axis", "trim.altitude-wave": "Wave of the worm, altitude axis",
  "trim.polar-altitude": "Polar axis, up and down", "trim.polar-azimuth": "Polar axis, to the side", "trim.lean-north": "Base leans north", "trim.lean-east": "Base leans east",
  "trim.hour-mark": "Home mark, hour axis", "trim.declination-mark": "Home mark, declination axis", "trim.azimuth-mark": "Home mark, azimuth axis", "trim.altitude-mark": "Home mark, altitude axis",
  "trim.cone": "Cone: tube not square", "trim.axis-skew": "Axes not square", "trim.tube-flexure": "Sag of the tube",
  "trim.hour-imbalance": "Out of balance, hour axis", "trim.second-imbalance": "Out of balance, other axis", "trim.wind": "Wind from the west",
  "trim.clock-error": "The mount's clock", "trim.entered-latitude-error": "The latitude it was told",
  "lesson.panel": "Lessons", "lesson.open": "Choose a lesson, or just play.", "lesson.one": "{title} ({minutes} min)", "lesson.leave": "Leave the lesson", "lesson.anew": "Begin it anew", "lesson.show": "Show me", "lesson.showing": "The page shows it …", "lesson.hint": "Hint", "lesson.print": "Print the handout",
  "lesson.question": "Question", "lesson.answer": "Your answer", "lesson.answer-in": "Your answer, in {unit}", "lesson.check": "Check", "lesson.right": "Right. Measured: {measured}", "lesson.right-choice": "Right.", "lesson.wrong": "Not yet. Look again, or take the hint.", "lesson.behind": "What is behind it", "lesson.steps-done": "{done} of {steps} steps done",
  "handout.goal": "Goal", "handout.before": "What to know before", "handout.steps": "Steps", "handout.question": "Question", "handout.beware": "What pupils tend to think", "handout.behind": "What is behind it", "handout.outside": "Outside, with a real mount", "handout.table": "Own measurements", "handout.care": "Caution",
  "block.label": "Title block", "block.title": "Drawn by", "block.night": "Night", "block.scale": "Scale", "block.scales": "as told in each panel", "block.legend": "Lines", "block.truth": "what is true", "block.belief": "what it believes", "block.care": "Caution",
  "block.caution": "Nothing here moves, but outside it does: never look at or near the Sun without a proper filter over the front; moving mounts pinch and counterweights fall; mind mains and water; follow the maker's instructions and local rules.",
};

/**
 * A text by its key, with what is to be filled in.
 * @param {string} key
 * @param {Record<string, string | number>} [fill]
 * @returns {string}
 */
export function text(key, fill = {}) {
  const found = TEXTS[key] ?? key;
  return found.replace(/\{([a-z0-9-]+)\}/g, (_, name) => String(fill[name] ?? ""));
}

/** Puts the texts into the page's own elements. */
export function fillPage() {
  for (const element of document.querySelectorAll("[data-text]")) {
    element.textContent = text(/** @type {HTMLElement} */ (element).dataset.text ?? "");
  }
  for (const element of document.querySelectorAll("[data-label]")) {
    element.setAttribute("aria-label", text(/** @type {HTMLElement} */ (element).dataset.label ?? ""));
  }
}
