// Every fixture night's report in a browser: accessible in all themes, nothing cut off on a desk, a phone or paper.
// Usage: NIGHTBENCH_BIN=… node reports.mjs [PART OF A CHECK'S NAME]   Ends with `N passed, N failed`.

import { spawnSync } from "node:child_process";
import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { pathToFileURL } from "node:url";
import { accessibility, check, conclude, hold, nightbench, top } from "./bench.mjs";
import { openBrowser } from "./browser.mjs";

const THEMES = ["light", "dark", "red"];
const SIZES = { desk: { width: 1280, height: 900 }, phone: { width: 375, height: 740 } };

/** Plays a night into a folder of its own; gives the address of its report. */
function report(folder, file) {
  const name = file ? basename(file, ".toml") : "built-in";
  const out = join(folder, name);
  const ran = spawnSync(nightbench, ["night", ...(file ? [file] : []), "--quiet", "--out", out], { timeout: 120_000 });
  if (ran.status !== 0 && ran.status !== 1) throw new Error(`${name}: status ${ran.status}: ${ran.stderr}`);
  return { name, address: pathToFileURL(join(out, "report.html")).href };
}

/** What sticks out: of the window, and texts of drawings out of their drawings. */
async function cutOff(page) {
  return page.evaluate(() => {
    const complaints = [];
    const wide = document.documentElement.scrollWidth - window.innerWidth;
    if (wide > 0) complaints.push(`the page is ${wide} px wider than the window`);
    for (const svg of document.querySelectorAll("svg")) {
      const frame = svg.getBoundingClientRect();
      if (frame.width < 20 || frame.height < 20) complaints.push(`${svg.getAttribute("aria-labelledby")} has no size`);
      for (const text of svg.querySelectorAll("text")) {
        const box = text.getBoundingClientRect();
        const out = Math.max(frame.left - box.left, box.right - frame.right, frame.top - box.top, box.bottom - frame.bottom);
        if (out > 1.5) complaints.push(`"${text.textContent}" sticks out of its drawing by ${out.toFixed(1)} px`);
      }
    }
    return complaints;
  });
}

/** Words of one drawing that lie over each other. */
async function overlaps(page) {
  return page.evaluate(() => {
    const complaints = [];
    for (const svg of document.querySelectorAll("svg")) {
      const texts = [...svg.querySelectorAll("text")].map((text) => [text.textContent, text.getBoundingClientRect()]);
      texts.forEach(([one, a], index) => {
        for (const [other, b] of texts.slice(index + 1)) {
          const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
          const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
          // Boxes of letters have room above and below: a touch is no overlap.
          if (across > 2 && down > 0.45 * Math.min(a.height, b.height)) complaints.push(`"${one}" lies over "${other}"`);
        }
      });
    }
    return complaints;
  });
}

async function look(browser, { name, address }) {
  const page = await browser.newPage();
  const troubles = [];
  page.on("console", (message) => message.type() === "error" && troubles.push(message.text()));
  page.on("requestfailed", (request) => troubles.push(`could not fetch ${request.url()}`));
  page.on("request", (request) => request.url() === address || request.url().startsWith("data:") || troubles.push(`fetches ${request.url()}`));
  for (const [size, window] of Object.entries(SIZES)) {
    await page.setViewportSize(window);
    await page.goto(address);
    await check(`${name}, ${size}: nothing cut off`, () => cutOff(page));
    if (size === "desk") await check(`${name}: words apart`, () => overlaps(page));
  }
  for (const theme of THEMES) {
    await page.check(`#theme-${theme}`);
    await check(`${name}, ${theme}: accessible`, () => accessibility(page));
  }
  for (const format of ["A4", "Letter"]) {
    await check(`${name}, ${format}: prints`, async () => {
      const paper = await page.pdf({ format });
      const pages = paper.toString("latin1").match(/\/Type\s*\/Page\b/g)?.length ?? 0;
      return hold(pages > 0 && pages < 60, `${pages} pages`);
    });
  }
  await check(`${name}: fetches nothing`, () => troubles);
  await page.close();
}

const folder = mkdtempSync(join(tmpdir(), "nightbench-reports-"));
const browser = await openBrowser();
try {
  const nights = join(top, "fixtures/nights");
  const files = readdirSync(nights).filter((name) => name.endsWith(".toml")).sort().map((name) => join(nights, name));
  for (const file of [null, ...files]) await look(browser, report(folder, file));
} finally {
  await browser.close();
  rmSync(folder, { recursive: true });
}
conclude();
