// A live bench of its own for each check, and a page on it.

import { spawn } from "node:child_process";
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

export const top = fileURLToPath(new URL("../..", import.meta.url));
export const nightbench = process.env.NIGHTBENCH_BIN ?? join(top, "target/release/nightbench");
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
/** Generous: a busy machine is no failure. */
export const PATIENCE = 120_000;

/** Starts a bench; gives its address and how to end it. */
export function startBench(options = ["--no-lesson"], address = "127.0.0.1:0") {
  return new Promise((started, failed) => {
    const program = spawn(nightbench, ["page", address, "--json", ...options], { stdio: ["ignore", "pipe", "pipe"] });
    let said = "";
    program.stderr.on("data", (bytes) => (said += bytes));
    program.stdout.once("data", (bytes) => {
      const url = JSON.parse(String(bytes).split("\n")[0]).address;
      started({
        url,
        address: new URL(url).host,
        pid: program.pid,
        end: () => new Promise((ended) => (program.exitCode !== null ? ended() : (program.once("exit", ended), program.kill("SIGTERM")))),
      });
    });
    program.once("exit", (status) => failed(new Error(`the bench ended with status ${status}: ${said}`)));
  });
}

/** Opens a page; what goes wrong in it is collected in `troubles`. */
export async function openPage(browser, url, options = {}) {
  const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, ...options });
  const page = await context.newPage();
  page.setDefaultTimeout(PATIENCE);
  const troubles = [];
  page.on("console", (message) => message.type() === "error" && troubles.push(`${message.text()} ${message.location().url}`));
  page.on("pageerror", (error) => troubles.push(String(error)));
  page.on("request", (request) => {
    const own = [new URL(url).origin, `ws://${new URL(url).host}`, "data:", "blob:"];
    if (!own.some((start) => request.url().startsWith(start))) troubles.push(`fetches ${request.url()}`);
  });
  await page.goto(url);
  await page.waitForSelector("body[data-connected]");
  await page.waitForFunction(() => document.querySelector("#gear-figures td")?.textContent);
  return { page, troubles, close: () => context.close() };
}

/** What axe-core has against the page as it stands. */
export async function accessibility(page) {
  // The page's own policy lets no text become a script; the checker comes in by the browser's debugger.
  await page.evaluate(axe);
  const found = await page.evaluate(() => window.axe.run(document, { runOnly: { type: "tag", values: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"] } }));
  return found.violations.flatMap((one) => one.nodes.map((node) => `${one.id} (${one.impact}): ${node.target.join(" ")}: ${one.help}`));
}

/** Types a line at the mount and gives its answer. */
export async function line(page, text) {
  const before = await page.locator("#traffic div").count();
  await page.fill("#line-text", text);
  await page.press("#line-text", "Enter");
  await page.waitForFunction(([n, said]) => {
    const rows = [...document.querySelectorAll("#traffic div")].slice(n).map((row) => row.textContent);
    const at = rows.indexOf(`> ${said}`);
    return at >= 0 && rows.slice(at + 1).some((row) => /^< (ok|no)/.test(row));
  }, [before, text]);
  const rows = await page.locator("#traffic div").allTextContents();
  const at = rows.lastIndexOf(`> ${text}`);
  return rows.slice(at + 1).find((row) => /^< (ok|no)/.test(row)).slice(2);
}

/** Sends the mount somewhere, fast, and waits until it is there. */
export async function goTo(page, name) {
  await page.fill("#goto-name", name);
  await page.press("#goto-name", "Enter");
  await page.selectOption("#speed", "30");
  await page.waitForFunction((target) => [...document.querySelectorAll("#sky-figures th")].some((head) => head.textContent === target), name);
  await page.selectOption("#speed", "1");
  await page.evaluate(() => document.activeElement?.blur());
}

/** A figure of a panel, by the begin of its row's name. */
export function figure(page, panel, name) {
  return page.locator(`#${panel}-figures tr`, { hasText: name }).locator("td").textContent();
}

let passed = 0;
let failed = 0;

/** Only checks in whose names this stands are run, if it is given. */
const wanted = process.argv[2] ?? "";

/** Runs a check: it fails by what it throws, or by the complaints that it gives. */
export async function check(name, run) {
  if (!name.includes(wanted)) return;
  let complaints;
  try {
    complaints = (await run()) ?? [];
  } catch (error) {
    complaints = [String(error.stack ?? error)];
  }
  if (complaints.length === 0) {
    passed += 1;
    return;
  }
  failed += 1;
  console.log(`FAILED ${name}`);
  for (const one of complaints.slice(0, 8)) console.log(`  ${one}`);
}

/** Says how it went. */
export function conclude() {
  console.log(`${passed} passed, ${failed} failed`);
  process.exitCode = failed === 0 ? 0 : 1;
}

/** Complains unless something holds. */
export const hold = (holds, complaint) => (holds ? [] : [complaint]);
