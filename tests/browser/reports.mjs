// Every fixture night's report in a browser: accessible in all themes, nothing cut off on a desk, a phone or paper.
// Usage: NIGHTBENCH_BIN=… node reports.mjs   Ends with `N passed, N failed`.

import { spawnSync } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { openBrowser } from "./browser.mjs";

const top = fileURLToPath(new URL("../..", import.meta.url));
const nightbench = process.env.NIGHTBENCH_BIN ?? join(top, "target/release/nightbench");
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"];
const THEMES = ["light", "dark", "red"];
const SIZES = { desk: { width: 1280, height: 900 }, phone: { width: 375, height: 740 } };

let passed = 0;
let failed = 0;

function check(name, complaints) {
  if (complaints.length === 0) {
    passed += 1;
    return;
  }
  failed += 1;
  console.log(`FAILED ${name}`);
  for (const line of complaints.slice(0, 8)) console.log(`  ${line}`);
}

/** Plays a night into a folder of its own; gives the address of its report. */
function report(folder, file) {
  const name = file ? basename(file, ".toml") : "built-in";
  const out = join(folder, name);
  const ran = spawnSync(nightbench, ["night", ...(file ? [file] : []), "--quiet", "--out", out], { timeout: 120_000 });
  if (ran.status !== 0 && ran.status !== 1) throw new Error(`${name}: status ${ran.status}: ${ran.stderr}`);
  return { name, address: pathToFileURL(join(out, "report.html")).href };
}

/** What axe-core has against the page as it stands. */
async function accessibility(page) {
  await page.evaluate(axe);
  const found = await page.evaluate((rules) => window.axe.run(document, { runOnly: { type: "tag", values: rules } }), RULES);
  return found.violations.flatMap((one) => one.nodes.map((node) => `${one.id}: ${node.target.join(" ")}: ${one.help}`));
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
    check(`${name}, ${size}: nothing cut off`, await cutOff(page));
    if (size === "desk") check(`${name}: words apart`, await overlaps(page));
  }
  for (const theme of THEMES) {
    await page.check(`#theme-${theme}`);
    check(`${name}, ${theme}: accessible`, await accessibility(page));
  }
  for (const format of ["A4", "Letter"]) {
    const paper = await page.pdf({ format });
    const pages = paper.toString("latin1").match(/\/Type\s*\/Page\b/g)?.length ?? 0;
    check(`${name}, ${format}: prints`, pages > 0 && pages < 60 ? [] : [`${pages} pages`]);
  }
  check(`${name}: fetches nothing`, troubles);
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
console.log(`${passed} passed, ${failed} failed`);
process.exitCode = failed === 0 ? 0 : 1;
