// The live bench in a browser: each panel, each lesson from start to end, the keyboard alone, lost connections, held keys, a class,
// a phone. Usage: NIGHTBENCH_BIN=… node page.mjs [PART OF A CHECK'S NAME]   Ends with `N passed, N failed`.

import { openBrowser } from "./browser.mjs";
import { accessibility, check, conclude, figure, goTo, hold, line, openPage, startBench } from "./bench.mjs";

const browser = await openBrowser();

/** A bench and a page on it, for one check. */
async function withBench(options, use, page = {}) {
  const bench = await startBench(options);
  try {
    const opened = await openPage(browser, bench.url, page);
    const complaints = (await use(opened.page, bench)) ?? [];
    await opened.close();
    return [...complaints, ...opened.troubles];
  } finally {
    await bench.end();
  }
}

/** How many of a canvas's pixels differ from its corner's. */
const inked = (page, id) => page.evaluate((id) => {
  const canvas = document.getElementById(id);
  const data = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height).data;
  let count = 0;
  for (let at = 0; at < data.length; at += 4) if (data[at + 3] > 60) count += 1;
  return count;
}, id);

const state = (page, word) => page.waitForFunction((word) => document.getElementById("state").textContent === word, word);
const lineThatSays = (page, text) => page.waitForFunction((text) => document.getElementById("traffic").textContent.includes(text), text);

async function panels() {
  await check("eyepiece: the star that it was sent to stands in the middle, in words and in ink", () => withBench(["--lesson", "backlash"], async (page) => {
    await goTo(page, "Regulus");
    await page.waitForFunction(() => document.getElementById("eyepiece-words").textContent.includes("Regulus is"));
    const [wide, finder] = [await inked(page, "eyepiece-view"), await inked(page, "finder-view")];
    const fields = await page.locator("#which option").allTextContents();
    await page.selectOption("#view", "upright");
    await page.selectOption("#units", "field");
    await page.waitForFunction(() => document.getElementById("eyepiece-words").textContent.includes("fields"));
    return [...hold(wide > 5000 && finder > 1000, `${wide} and ${finder} pixels are drawn`), ...hold(fields.length === 2 && fields[0].includes("×60, 50′"), fields.join())];
  }));
  await check("gear: the motor turns and the axis hangs still, then the flank is marked", () => withBench(["--lesson", "backlash"], async (page) => {
    await goTo(page, "Regulus");
    const axis = await figure(page, "gear", "axis, truly");
    await line(page, "nudge direction=north rate=20x for=0.5s");
    await page.waitForFunction(() => document.getElementById("gear-words").textContent.startsWith("Neither flank"));
    await state(page, "following the sky");
    await page.waitForTimeout(600);
    const still = await figure(page, "gear", "axis, truly");
    await line(page, "nudge direction=north rate=20x for=2s");
    await page.waitForFunction(() => document.getElementById("gear-words").textContent.startsWith("The driving flank"));
    const drawn = [await inked(page, "gear-view"), await inked(page, "loop-view")];
    return [...hold(axis === still, `the axis moved from ${axis} to ${still}`), ...hold(drawn.every((count) => count > 300), `${drawn} pixels`)];
  }));
  await check("sky: an error moves the truth and leaves the belief", () => withBench(["--lesson", "knock"], async (page) => {
    await page.click("[data-keep=leave]");
    await goTo(page, "Regulus");
    await page.selectOption("#speed", "0");
    await page.waitForTimeout(800);
    const before = [await figure(page, "sky", "it believes"), await figure(page, "sky", "it points")];
    await page.fill('[data-trim="cone"] input[type="number"]', "12");
    await page.press('[data-trim="cone"] input[type="number"]', "Enter");
    // A mount without errors believes what is true: the row decides, not the figure.
    const points = (was, same) => page.waitForFunction(([was, same]) => (document.querySelector("#sky-figures tr.truth td").textContent === was) === same, [was, same]);
    await points(before[1], false);
    const after = [await figure(page, "sky", "it believes"), await figure(page, "sky", "it points")];
    const words = await page.textContent("#sky-words");
    await page.click('[data-trim="cone"] input[type="checkbox"]');
    await points(before[1], true);
    return [...hold(before[0] === after[0], `the belief went from ${before[0]} to ${after[0]}`), ...hold(words.includes("12.0′"), words), ...hold((await inked(page, "sky-view")) > 3000, "no sky is drawn")];
  }));
  await check("time: errors are drawn and said from the arrival on", () => withBench(["--lesson", "wave"], async (page) => {
    await goTo(page, "Regulus");
    await page.selectOption("#speed", "300");
    await page.waitForFunction(() => /from −1\d\.\d″ to \+?[12]\d\.\d″|from −\d+\.\d″ to \+\d+\.\d″/.test(document.getElementById("time-words").textContent));
    await page.waitForFunction(() => document.querySelectorAll("#time-view canvas").length === 1);
    return hold((await page.textContent("#time-events")).includes("arrived"), "no event is told");
  }));
  await check("errors: what was drawn for the night is told, a slider by the keyboard changes it", () => withBench(["--no-lesson"], async (page) => {
    const play = '[data-trim="declination-play"] input';
    await page.waitForFunction((play) => Number(document.querySelector(`${play}[type="number"]`)?.value) > 50, play);
    await page.focus(`${play}[type="range"]`);
    await page.keyboard.press("Home");
    await page.waitForFunction(() => document.querySelector("#gear-figures")?.textContent?.includes("gap here"));
    await page.check('#gear-axis input[value="1"]');
    await page.waitForFunction(() => [...document.querySelectorAll("#gear-figures tr")].some((row) => row.textContent.startsWith("gap here0.00")));
  }));
  await check("errors: surprise hides, telling shows, a link brings along", () => withBench(["--no-lesson"], async (page, bench) => {
    await page.click("text=Surprise me");
    await page.waitForSelector("text=Some errors are hidden");
    const hidden = await page.locator("#trims input[type=number]").evaluateAll((all) => all.every((input) => input.disabled && input.value === ""));
    await page.click("#reveal");
    await page.waitForFunction(() => ![...document.querySelectorAll("#trims input[type=number]")].some((input) => input.value === ""));
    await page.goto(`${bench.url}#errors=cone:7,hour-mark:-3`);
    await page.reload();
    await page.click("text=Use them");
    await page.waitForFunction(() => document.querySelector('[data-trim="cone"] input[type="number"]')?.value === "7");
    await page.waitForFunction(() => document.querySelector('[data-trim="hour-mark"] input[type="number"]')?.value === "-3");
    return hold(hidden, "something hidden is shown");
  }));
}

async function digits() {
  await check("figures on the page are the line's to the last digit", () => withBench(["--lesson", "backlash"], async (page) => {
    await goTo(page, "Regulus");
    await page.selectOption("#speed", "0");
    await page.waitForTimeout(1000);
    const axes = await line(page, "axes");
    const pointing = await line(page, "status group=pointing");
    const dial = axes.match(/declination_dial=(\S+)deg/)[1];
    const [azimuth, altitude] = [pointing.match(/azimuth=(\S+?)deg/)[1], pointing.match(/altitude=(\S+?)deg/)[1]];
    const shown = [await figure(page, "gear", "motor, by its counter"), await figure(page, "sky", "it believes")];
    return [...hold(shown[0] === `${dial}°`, `${shown[0]} for ${dial}`), ...hold(shown[1] === `${azimuth}° ${altitude}°`, `${shown[1]} for ${azimuth} ${altitude}`)];
  }));
}

async function hands() {
  await check("a key of the page moves while it is down, and no longer", () => withBench(["--lesson", "backlash"], async (page) => {
    await goTo(page, "Regulus");
    const key = await page.locator('[data-direction="north"]').boundingBox();
    await page.mouse.move(key.x + 10, key.y + 10);
    await page.mouse.down();
    await state(page, "moved by the keys");
    // Longer than the dead-man time of the mount: the key is said again and again.
    await page.waitForTimeout(2500);
    const held = await page.textContent("#state");
    await page.mouse.up();
    await state(page, "following the sky");
    await lineThatSays(page, "> release");
    return hold(held === "moved by the keys", `after 2.5 s it is ${held}`);
  }));
  await check("an alt-azimuth mount has keys of its own", () => withBench(["--lesson", "zenith"], async (page) => {
    const names = await page.locator("#keys button").allTextContents();
    await page.keyboard.down("ArrowUp");
    await state(page, "moved by the keys");
    await lineThatSays(page, "nudge direction=up");
    await page.keyboard.up("ArrowUp");
    await page.waitForFunction(() => document.getElementById("state").textContent !== "moved by the keys");
    return hold(names.join() === "up,left,right,down", names.join());
  }));
  await check("the keyboard alone: go to, arrows, a lesson, stop", () => withBench(["--no-lesson"], async (page) => {
    const reach = async (selector, most = 80) => {
      await page.waitForSelector(selector);
      for (let tab = 0; tab < most; tab += 1) {
        if (await page.evaluate((selector) => document.activeElement?.matches(selector), selector)) return;
        await page.keyboard.press("Tab");
      }
      throw new Error(`${selector} isn't reached in ${most} tabs`);
    };
    await reach("[data-lesson=backlash]");
    await page.keyboard.press("Enter");
    await page.waitForSelector("[data-keep=show]");
    await reach("#goto-name", 120);
    await page.keyboard.type("Regulus");
    await page.keyboard.press("Enter");
    await state(page, "on its way");
    await page.keyboard.press("Escape");
    await lineThatSays(page, "> stop");
    await state(page, "resting");
    await reach('[data-direction="south"]', 120);
    await page.keyboard.down("ArrowDown");
    await state(page, "moved by the keys");
    await page.keyboard.up("ArrowDown");
    await state(page, "resting");
    await reach('[data-direction="west"]', 120);
    await page.keyboard.down(" ");
    await state(page, "moved by the keys");
    await page.keyboard.up(" ");
    await state(page, "resting");
  }));
  for (const [how, lose] of [
    ["the window loses focus", (page) => page.evaluate(() => window.dispatchEvent(new Event("blur")))],
    ["the tab is hidden", (page) => page.evaluate(() => { Object.defineProperty(document, "hidden", { value: true, configurable: true }); document.dispatchEvent(new Event("visibilitychange")); Object.defineProperty(document, "hidden", { value: false, configurable: true }); })],
  ]) {
    await check(`a held key is let go when ${how}`, () => withBench(["--lesson", "backlash"], async (page) => {
      await page.locator("body").press("ArrowDown");
      await page.keyboard.down("ArrowDown");
      await state(page, "moved by the keys");
      await lose(page);
      await state(page, "resting");
    }));
  }
  await check("a held key is let go when the page is closed", () => withBench(["--lesson", "backlash"], async (page, bench) => {
    const other = await openPage(browser, bench.url);
    await page.keyboard.down("ArrowDown");
    await state(other.page, "moved by the keys");
    await page.close();
    await state(other.page, "resting");
    await other.page.waitForSelector("text=You hold the controls");
    await other.close();
    return other.troubles;
  }));
}

async function together() {
  await check("two pages: one holds the controls, the other looks on and may take them", () => withBench(["--lesson", "backlash"], async (page, bench) => {
    const other = await openPage(browser, bench.url);
    await other.page.waitForSelector("text=Somebody else holds the controls. 2 here.");
    const off = await other.page.locator("#goto button").isDisabled();
    const stops = await other.page.locator("#stop").isEnabled();
    await line(page, "identify");
    await lineThatSays(other.page, "ok device=nightbench");
    await other.page.click("text=Take the controls");
    await other.page.waitForSelector("text=You hold the controls");
    await page.waitForSelector("text=Somebody else holds the controls");
    const now = await page.locator("#goto button").isDisabled();
    await other.close();
    await page.waitForSelector("text=You hold the controls. 1 here.");
    return [...hold(off && now, "a key works for somebody without the controls"), ...hold(stops, "stop is off"), ...other.troubles];
  }));
  await check("after the server's restart the page is there again", async () => {
    const first = await startBench(["--no-lesson"]);
    const { page, close } = await openPage(browser, first.url);
    await page.keyboard.down("ArrowDown");
    await state(page, "moved by the keys");
    await first.end();
    await page.waitForSelector("#banner:not([hidden])");
    const said = await page.textContent("#banner");
    const down = await page.locator(".keys .down").count();
    const second = await startBench(["--no-lesson"], first.address);
    try {
      await page.waitForSelector("body[data-connected]");
      await page.waitForSelector("#banner", { state: "hidden" });
      await page.keyboard.up("ArrowDown");
      await line(page, "identify");
      await page.waitForSelector("text=You hold the controls");
      return [...hold(said.includes("connection is lost"), said), ...hold(down === 0, "a key stays down")];
    } finally {
      await close();
      await second.end();
    }
  });
}

async function everybody() {
  const cut = (page) => page.evaluate(() => {
    const wide = document.documentElement.scrollWidth - window.innerWidth;
    const out = [...document.querySelectorAll("button, input:not([hidden]), select, td, h2, .words")].filter((one) => {
      const box = one.getBoundingClientRect();
      return box.width > 0 && (box.right > window.innerWidth + 1 || box.left < -1) && !one.closest(".unseen, .skip, .traffic");
    });
    return [...(wide > 0 ? [`the page is ${wide} px wider than the window`] : []), ...out.map((one) => `${one.id || one.className || one.tagName} sticks out`)];
  });
  await check("nothing is cut off from a phone to a projector", () => withBench(["--lesson", "backlash"], async (page) => {
    const complaints = [];
    for (const width of [320, 375, 768, 1100, 1280, 1440, 1920, 2560]) {
      await page.setViewportSize({ width, height: 800 });
      await page.waitForTimeout(400);
      complaints.push(...(await cut(page)).map((one) => `${width}: ${one}`));
    }
    return complaints;
  }));
  for (const [width, height] of [[1440, 900], [1920, 1080]]) {
    await check(`the whole sheet stands on one screen of ${width} by ${height}`, () => withBench(["--lesson", "backlash"], async (page) => {
      await page.waitForTimeout(700);
      const tall = await page.evaluate(() => document.documentElement.scrollHeight);
      // Only lists are longer than their panels.
      const hidden = await page.evaluate(() => [...document.querySelectorAll("canvas, .panel:not(#lesson) :is(button, select, tbody, #line-text, #goto-name)")].filter((one) => {
        const [inner, outer] = [one, one.closest(".panel")].map((element) => element.getBoundingClientRect());
        return inner.bottom > outer.bottom + 1 && !one.closest(".scrolls, .traffic");
      }).map((one) => `${one.id || one.textContent} is cut off`));
      return [...hold(tall <= height, `the sheet is ${tall} high`), ...hidden];
    }, { viewport: { width, height } }));
  }
  await check("a phone's touch moves the mount", () => withBench(["--lesson", "backlash"], async (page) => {
    await page.locator('[data-direction="south"]').scrollIntoViewIfNeeded();
    const touch = (type) => page.locator('[data-direction="south"]').dispatchEvent(type, { pointerId: 1, pointerType: "touch", button: 0, isPrimary: true, bubbles: true });
    await page.evaluate(() => { Element.prototype.setPointerCapture = () => {}; });
    await touch("pointerdown");
    await state(page, "moved by the keys");
    await touch("pointerup");
    await state(page, "resting");
  }, { viewport: { width: 375, height: 740 }, hasTouch: true, isMobile: true }));
  for (const [name, options, prepare] of [
    ["playing", ["--no-lesson"], async () => {}],
    ["in a lesson, red", ["--lesson", "backlash"], (page) => page.click("#night")],
    ["on a phone", ["--lesson", "cone"], (page) => page.setViewportSize({ width: 375, height: 740 })],
    ["with hidden errors", ["--no-lesson"], async (page) => { await page.click("text=Surprise me"); await page.waitForSelector("text=Some errors are hidden"); }],
  ]) {
    await check(`accessible: ${name}`, () => withBench(options, async (page) => {
      await prepare(page);
      await page.waitForTimeout(700);
      return accessibility(page);
    }));
  }
  await check("red light is red alone, to the last pixel", () => withBench(["--no-lesson"], async (page) => {
    await page.click("#night");
    await page.mouse.move(0, 0);
    await page.waitForTimeout(900);
    const shot = (await page.screenshot({ fullPage: true })).toString("base64");
    const blank = await browser.newPage();
    const found = await blank.evaluate(async (shot) => {
      const image = await createImageBitmap(await (await fetch(`data:image/png;base64,${shot}`)).blob());
      const canvas = new OffscreenCanvas(image.width, image.height);
      const pen = canvas.getContext("2d");
      pen.drawImage(image, 0, 0);
      const { data } = pen.getImageData(0, 0, image.width, image.height);
      const complaints = [];
      for (let at = 0; at < data.length && complaints.length < 5; at += 4) {
        // Of white light there is what the weaker two of the three have in common with the red.
        if (data[at + 1] > 110 || data[at + 2] > 110) complaints.push(`at ${(at / 4) % image.width}, ${Math.floor(at / 4 / image.width)}: ${data.slice(at, at + 3)}`);
      }
      return complaints;
    }, shot);
    await blank.close();
    return found;
  }));
  await check("with reduced motion the drawing keeps still between looks", () => withBench(["--no-lesson"], async (page) => {
    const before = await page.evaluate(() => window.benchDrawn);
    await page.waitForTimeout(3000);
    const drawn = (await page.evaluate(() => window.benchDrawn)) - before;
    return hold(drawn <= 7, `${drawn} pictures in 3 s`);
  }, { reducedMotion: "reduce" }));
  await check("state and miss are said in words for who doesn't see them", () => withBench(["--lesson", "backlash"], async (page) => {
    await goTo(page, "Regulus");
    await page.waitForFunction(() => /following the sky\. Regulus stands .* beside the middle/.test(document.getElementById("said").textContent));
  }));
}

/** Does a lesson as the page shows it, answers wrongly, then rightly, and has the handout printed. */
async function lesson(name) {
  await check(`lesson ${name}, from start to end`, () => withBench(["--no-lesson"], async (page) => {
    await page.click(`[data-lesson="${name}"]`);
    await page.waitForSelector("[data-keep=show]");
    const steps = await page.locator(".steps li").count();
    for (let step = 0; step < steps; step += 1) {
      await page.waitForFunction(() => document.querySelector("[data-keep=show]:not([disabled])") || document.getElementById("question"));
      await page.click("[data-keep=show]");
      await page.waitForFunction((done) => document.querySelectorAll(".steps li.done").length > done, step);
      await page.waitForFunction(() => !document.querySelector("[data-keep=show]")?.textContent.includes("shows it"));
    }
    await page.waitForSelector("#question");
    const choices = await page.locator("#question input[type=radio]").count();
    if (choices > 0) {
      for (let choice = 1; choice <= choices; choice += 1) {
        await page.check(`[data-keep="choice-${choice - 1}"]`);
        await page.click("[data-keep=check]");
        await page.waitForSelector(`#lesson [role=status][data-tries="${choice}"]`);
        if (await page.locator("text=Right.").count()) break;
      }
    } else {
      const answer = async (text, tries) => {
        await page.fill("[data-keep=number]", text);
        await page.click("[data-keep=check]");
        await page.waitForSelector(`#lesson [role=status][data-tries="${tries}"]`);
      };
      await answer("99999", 1);
      await page.waitForSelector("text=Not yet.");
      const state = await page.evaluate(() => window.benchMeasured());
      await answer(String(state), 2);
    }
    await page.waitForSelector("text=What is behind it");
    await page.evaluate(() => { window.print = () => {}; });
    await page.click("[data-keep=print]");
    const sheet = await page.textContent("#handout");
    await page.emulateMedia({ media: "print" });
    const seen = await page.locator("#handout h1").isVisible() && !(await page.locator("main").isVisible());
    return [...hold(sheet.includes("Own measurements") && sheet.includes("Caution"), "the handout is not whole"), ...hold(seen, "the handout would not be printed alone")];
  }));
}

try {
  await panels();
  await digits();
  await hands();
  await together();
  await everybody();
  const names = ["backlash", "same-way", "take-up", "watch", "wave", "polar-drift", "drift-method", "one-hour", "cone", "two-or-three", "one-is-enough", "knock", "zenith"];
  // Four at a time: most of each is waiting.
  while (names.length) await Promise.all(names.splice(0, 4).map(lesson));
} finally {
  await browser.close();
}
conclude();
