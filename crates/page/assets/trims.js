// @ts-check
// What is wrong with this mount: every error as a slider.
import { doIt } from "./hands.js";
import { text } from "./texts.js";
import { ask } from "./wire.js";

/** @typedef {import("./types.js").Room} Room */
/** @typedef {import("./types.js").Trim} Trim */

const list = /** @type {HTMLElement} */ (document.getElementById("trims"));
const tools = /** @type {HTMLElement} */ (document.getElementById("error-tools"));
const banner = /** @type {HTMLElement} */ (document.getElementById("banner"));
let known = "";
/** @type {string[] | null} those that the lesson wants to be seen */
let wanted = null;

/** @param {string[] | null} names */
export function wantErrors(names) {
  wanted = names;
  known = "";
}

/**
 * @param {Trim} trim
 * @param {boolean} hidden
 */
function row(trim, hidden) {
  const name = text(`trim.${trim.name}`);
  const box = document.createElement("div");
  box.className = "trim";
  box.dataset.trim = trim.name;
  const label = document.createElement("label");
  const on = Object.assign(document.createElement("input"), { type: "checkbox", checked: trim.off === null || trim.off === undefined });
  on.setAttribute("aria-label", `${name}: ${text("errors.on")}`);
  on.onchange = () => doIt({ do: "switch", name: trim.name, on: on.checked });
  label.append(on, ` ${name}`);
  const slider = Object.assign(document.createElement("input"), { type: "range", min: String(trim.least), max: String(trim.most), step: String(trim.step) });
  const number = Object.assign(document.createElement("input"), { type: "number", min: String(trim.least), max: String(trim.most), step: "any" });
  for (const input of [slider, number]) input.setAttribute("aria-label", text("errors.value", { name, unit: trim.unit }));
  let timer = 0;
  const change = (/** @type {string} */ value) => {
    slider.value = value;
    number.value = value;
    clearTimeout(timer);
    timer = window.setTimeout(() => doIt({ do: "set", name: trim.name, value: Number(value) }), 120);
  };
  slider.oninput = () => change(slider.value);
  number.onchange = () => change(number.value);
  const end = document.createElement("span");
  end.append(number, ` ${trim.unit}`);
  const usual = Object.assign(document.createElement("p"), { className: "note", textContent: text("errors.usual", { a: trim.usual[0], b: trim.usual[1], unit: trim.unit }) });
  box.append(label, slider, end, usual);
  for (const input of [on, slider, number]) input.toggleAttribute("data-off", hidden);
  return box;
}

/** @param {Room} room */
export function takeTrims(room) {
  const shown = room.trims.filter((trim) => wanted === null || wanted.includes(trim.name));
  const now = JSON.stringify([shown.map((trim) => trim.name), room.hidden]);
  if (now !== known) {
    known = now;
    list.replaceChildren(...(room.hidden ? [Object.assign(document.createElement("p"), { textContent: text("errors.hidden") })] : []), ...shown.map((trim) => row(trim, room.hidden)));
  }
  for (const trim of shown) {
    const inputs = list.querySelectorAll(`[data-trim="${trim.name}"] input`);
    const [on, slider, number] = /** @type {HTMLInputElement[]} */ ([...inputs]);
    if (!number || [slider, number].includes(/** @type {any} */ (document.activeElement))) continue;
    on.checked = trim.off === null || trim.off === undefined;
    const value = trim.value === null ? "" : String(Math.round(trim.value * 1e3) / 1e3);
    if (number.value !== value) number.value = value;
    if (slider.value !== value) slider.value = value || "0";
  }
  const reveal = document.getElementById("reveal");
  if (reveal) reveal.hidden = !room.hidden;
}

/** @param {string} key @param {() => unknown} press */
function button(key, press) {
  const made = Object.assign(document.createElement("button"), { type: "button", textContent: text(key) });
  made.onclick = press;
  return made;
}

const seed = Object.assign(document.createElement("input"), { type: "number", min: "1", max: "9999", value: "1", id: "surprise-number" });
const seedLabel = document.createElement("label");
seedLabel.append(`${text("errors.number")} `, seed);
const reveal = Object.assign(button("errors.reveal", () => doIt({ do: "reveal" })), { id: "reveal", hidden: true });
const file = Object.assign(document.createElement("input"), { type: "file", accept: ".toml,text/plain", hidden: true });
file.onchange = async () => {
  const chosen = file.files?.[0];
  if (chosen) await doIt({ do: "scenario", text: await chosen.text() });
  file.value = "";
};
tools.append(
  button("errors.reset", () => doIt({ do: "reset" })),
  button("errors.knock", () => doIt({ do: "knock", arcmin: 20 })),
  seedLabel,
  button("errors.surprise", async () => {
    await doIt({ do: "surprise", seed: Number(seed.value) || 1 });
    seed.value = String((Number(seed.value) || 1) + 1);
  }),
  reveal,
  button("errors.file", save),
  button("errors.load", () => file.click()),
  file,
  button("errors.link", link),
);

/** Saves the night with its errors as a file. */
async function save() {
  try {
    const made = URL.createObjectURL(new Blob([await ask("api/scenario")], { type: "text/plain" }));
    Object.assign(document.createElement("a"), { href: made, download: "nightbench.toml" }).click();
    URL.revokeObjectURL(made);
  } catch (error) {
    say(String(error));
  }
}

/** Makes a link that brings the errors along; they stand behind the # and are used only when somebody says so. */
async function link() {
  const errors = [...list.querySelectorAll("[data-trim]")].flatMap((box) => {
    const value = /** @type {HTMLInputElement} */ (box.querySelector('input[type="number"]')).value;
    return Number(value) ? [`${/** @type {HTMLElement} */ (box).dataset.trim}:${value}`] : [];
  });
  const made = `${location.origin}/#errors=${errors.join(",")}`;
  try {
    await navigator.clipboard.writeText(made);
    say(text("errors.copied"));
  } catch {
    say(made);
  }
}

/** @param {string} sentence */
function say(sentence) {
  /** @type {HTMLElement} */ (document.getElementById("refused")).textContent = sentence;
}

/** Offers the errors that the link brought along. */
export function offerLinked() {
  const found = /(?:^#|&)errors=([a-z0-9:.,-]+)/.exec(location.hash);
  if (!found) return;
  history.replaceState(null, "", location.pathname);
  banner.hidden = false;
  banner.replaceChildren(text("errors.from-link"), button("errors.apply", async () => {
    banner.hidden = true;
    for (const pair of found[1].split(",")) {
      const [name, value] = pair.split(":");
      await doIt({ do: "set", name, value: Number(value) });
    }
  }));
}
