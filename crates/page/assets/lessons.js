// @ts-check
// Lessons: the list, the one under way, its question, its handout.
import { showAxis } from "./gear.js";
import { doIt } from "./hands.js";
import { text } from "./texts.js";
import { wantErrors } from "./trims.js";
import { ask } from "./wire.js";

/** @typedef {import("./types.js").Room} Room */
/** @typedef {import("./types.js").LessonState} LessonState */

const body = /** @type {HTMLElement} */ (document.getElementById("lesson-body"));
const handout = /** @type {HTMLElement} */ (document.getElementById("handout"));
const said = /** @type {HTMLElement} */ (document.getElementById("said"));
/** @type {any} */
let lesson = null;
/** @type {any[]} */
let list = [];
let shown = "";
let loading = false;
/** @type {string | undefined} the lesson of the newest message */
let underWayNow;
let steps = -1;

/**
 * An element with what is in it.
 * @param {string} tag
 * @param {Record<string, unknown>} [set]
 * @param {(Node | string)[]} inside
 * @returns {any}
 */
function made(tag, set = {}, ...inside) {
  const element = Object.assign(document.createElement(tag), set);
  element.append(...inside);
  return element;
}

/** The answer that was measured, once one was given; for whoever checks the page. */
let measured = /** @type {number | null} */ (null);
Object.defineProperty(window, "benchMeasured", { value: () => measured });

/** Answers given so far. */
let tries = 0;

/** What stands in the field for an answer; null where there is none. */
function typing() {
  const number = /** @type {HTMLInputElement | null} */ (body.querySelector("[data-keep=number]"));
  return number ? number.value : null;
}

/** Asks for the list of lessons. */
export async function renewLessons() {
  try {
    list = await ask("api/lessons");
    shown = "";
  } catch {
    list = [];
  }
}

/** @param {Room} room */
export async function takeLesson(room) {
  const state = room.lesson;
  measured = state?.answer?.measured ?? null;
  underWayNow = state?.name;
  if (state && lesson?.name !== state.name) {
    if (loading) return;
    loading = true;
    try {
      const found = await ask(`api/lesson?name=${encodeURIComponent(state.name)}`);
      // It may have been left meanwhile.
      if (underWayNow !== state.name) return;
      lesson = found;
      wantErrors(lesson.errors);
      showAxis(lesson.axis - 1);
      steps = -1;
    } catch {
      return;
    } finally {
      loading = false;
    }
  }
  if (!state && lesson) {
    lesson = null;
    wantErrors(null);
  }
  const now = JSON.stringify([state, list.length, room.showing]);
  if (now === shown) return;
  const answering = body.contains(document.activeElement) && document.activeElement instanceof HTMLInputElement;
  if (answering && state && !state.answer && shown) {
    // Somebody types: only what has changed beside it would disturb.
    if (JSON.parse(shown)[0]?.done === state.done) return;
  }
  shown = now;
  const held = document.activeElement instanceof HTMLElement && body.contains(document.activeElement) ? document.activeElement.dataset.keep : undefined;
  // What somebody is typing stays, unless it was answered just now.
  const typed = typing();
  body.replaceChildren(...(state ? underWay(state, room.showing) : choice()));
  const number = /** @type {HTMLInputElement | null} */ (body.querySelector("[data-keep=number]"));
  if (number && typed !== null && (state?.tries ?? 0) === tries) number.value = typed;
  tries = state?.tries ?? 0;
  if (held) /** @type {HTMLElement | null} */ (body.querySelector(`[data-keep="${held}"]`))?.focus();
  if (state && steps !== state.done) {
    if (steps >= 0) said.textContent = text("lesson.steps-done", { done: state.done, steps: state.steps });
    steps = state.done;
  }
}

function choice() {
  const items = list.map((one) => {
    const open = made("button", { type: "button", onclick: () => doIt({ do: "lesson", name: one.name }) }, text("lesson.one", one));
    open.dataset.lesson = one.name;
    return made("li", {}, open, made("div", { className: "note" }, one.goal));
  });
  return [made("p", {}, text("lesson.open")), made("ol", { className: "lesson-list" }, ...items)];
}

/**
 * @param {LessonState} state
 * @param {boolean} showing
 */
function underWay(state, showing) {
  const items = lesson.steps.map((/** @type {any} */ step, /** @type {number} */ index) => {
    const item = made("li", { className: index < state.done ? "done" : index === state.done ? "now" : "" }, step.say);
    if (index === state.done) {
      item.setAttribute("aria-current", "step");
      item.append(made("details", { className: "hint" }, made("summary", {}, text("lesson.hint")), step.hint));
    }
    return item;
  });
  const keep = (/** @type {any} */ element, /** @type {string} */ name) => {
    element.dataset.keep = name;
    return element;
  };
  const buttons = made("p", { className: "row" });
  if (state.done < state.steps) {
    const show = keep(made("button", { type: "button", onclick: () => doIt({ do: "show" }) }, text(showing ? "lesson.showing" : "lesson.show")), "show");
    show.toggleAttribute("data-off", showing);
    buttons.append(show);
  }
  buttons.append(
    keep(made("button", { type: "button", onclick: () => doIt({ do: "lesson", name: state.name }) }, text("lesson.anew")), "anew"),
    keep(made("button", { type: "button", onclick: () => doIt({ do: "leave-lesson" }) }, text("lesson.leave")), "leave"),
    keep(made("button", { type: "button", className: "free", onclick: print }, text("lesson.print")), "print"),
  );
  const all = [made("h3", {}, lesson.title), made("p", {}, lesson.goal)];
  if (lesson.caution) all.push(made("p", { className: "caution" }, lesson.caution));
  all.push(made("ol", { className: "steps" }, ...items), buttons);
  if (state.done >= state.steps) all.push(question(state, keep));
  if (state.answer?.right) all.push(...behind());
  return all;
}

/**
 * @param {LessonState} state
 * @param {(element: any, name: string) => any} keep
 */
function question(state, keep) {
  const { ask: asked, hint, choices, unit } = lesson.question;
  const form = made("form", { className: "row", id: "question" });
  /** @type {HTMLInputElement | null} */
  let number = null;
  if (choices) {
    const set = made("fieldset", {}, made("legend", {}, asked));
    choices.forEach((/** @type {string} */ one, /** @type {number} */ index) => {
      const input = keep(made("input", { type: "radio", name: "answer", value: String(index + 1) }), `choice-${index}`);
      input.checked = state.answer?.given === String(index + 1);
      set.append(made("div", {}, made("label", {}, input, ` ${one}`)));
    });
    form.append(set);
  } else {
    const input = keep(made("input", { inputMode: "decimal", autocomplete: "off", maxLength: 12, value: state.answer?.given ?? "", size: 8 }), "number");
    number = input;
    form.append(made("label", {}, `${asked} `, made("span", { className: "note" }, text("lesson.answer-in", { unit })), " ", input));
  }
  form.append(keep(made("button", {}, text("lesson.check")), "check"));
  form.onsubmit = (/** @type {Event} */ event) => {
    event.preventDefault();
    const given = number ? number.value : new FormData(form).get("answer");
    if (given) doIt({ do: "answer", text: String(given) });
  };
  const box = made("div", {}, made("h3", {}, text("lesson.question")), form, made("details", {}, made("summary", {}, text("lesson.hint")), hint));
  if (state.answer) {
    const { right, measured } = state.answer;
    const told = right ? (measured === null ? text("lesson.right-choice") : text("lesson.right", { measured: `${measured.toFixed(1)} ${unit ?? ""}` })) : text("lesson.wrong");
    const answered = made("p", { className: right ? "belief" : "truth", role: "status" }, told);
    // Which answer this is about, for whoever checks the page.
    answered.dataset.tries = String(state.tries);
    box.append(answered);
  }
  return box;
}

function behind() {
  return [
    made("h3", {}, text("lesson.behind")),
    ...paragraphs(lesson.explanation.text),
    made("p", { className: "formula" }, lesson.explanation.formula),
    made("p", { className: "note" }, lesson.explanation.letters),
  ];
}

/** @param {string} all */
const paragraphs = (all) => all.split(/\n\s*\n/).map((one) => made("p", {}, one.replace(/\s+/g, " ")));

/** Makes the handout and has it printed. */
function print() {
  const part = (/** @type {string} */ key, /** @type {any[]} */ ...inside) => [made("h2", {}, text(key)), ...inside];
  const sheet = lesson.handout;
  const head = made("tr", {}, ...sheet.table.map((/** @type {string} */ one) => made("th", {}, one)));
  const empty = Array.from({ length: 6 }, () => made("tr", {}, ...sheet.table.map(() => made("td", {}, " "))));
  handout.replaceChildren(
    made("h1", {}, lesson.title),
    ...part("handout.goal", made("p", {}, lesson.goal)),
    ...part("handout.before", made("p", {}, sheet.before)),
    ...part("handout.steps", made("ol", {}, ...lesson.steps.map((/** @type {any} */ step) => made("li", {}, step.say)))),
    ...part("handout.question", made("p", {}, lesson.question.ask)),
    ...part("handout.beware", made("p", {}, sheet.beware)),
    ...part("handout.behind", ...paragraphs(lesson.explanation.text), made("p", { className: "formula" }, lesson.explanation.formula), made("p", {}, lesson.explanation.letters)),
    ...part("handout.outside", made("p", {}, sheet.outside)),
    ...part("handout.table", made("table", {}, head, ...empty)),
    ...part("handout.care", made("p", {}, text("block.caution"))),
  );
  window.print();
}
