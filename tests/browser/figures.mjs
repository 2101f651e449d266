// Figures of the live bench: first paint, assets, frames, the server's share of a core, a class of viewers. Prints them; nothing is
// held against them here. Usage: NIGHTBENCH_BIN=… node figures.mjs

import { readFileSync } from "node:fs";
import { gzipSync } from "node:zlib";
import { openBrowser } from "./browser.mjs";
import { openPage, startBench } from "./bench.mjs";

const VIEWERS = 50;
const quantile = (all, share) => all.toSorted((a, b) => a - b)[Math.min(all.length - 1, Math.floor(all.length * share))];
/** Processor seconds that a program has used (Linux). */
function used(pid) {
  const fields = readFileSync(`/proc/${pid}/stat`, "utf8").split(") ")[1].split(" ");
  return (Number(fields[11]) + Number(fields[12])) / 100;
}
const wait = (seconds) => new Promise((done) => setTimeout(done, seconds * 1000));

const browser = await openBrowser();
const bench = await startBench(["--lesson", "backlash"]);
try {
  const paints = [];
  let bytes = [0, 0];
  for (let run = 0; run < 7; run += 1) {
    const context = await browser.newContext();
    const page = await context.newPage();
    const files = [];
    page.on("response", async (response) => files.push(response.body().catch(() => Buffer.alloc(0))));
    await page.goto(bench.url);
    await page.waitForSelector("body[data-connected]");
    paints.push(await page.evaluate(() => performance.getEntriesByName("first-contentful-paint")[0]?.startTime));
    const all = await Promise.all(files);
    bytes = [all.reduce((sum, file) => sum + file.length, 0), all.reduce((sum, file) => sum + gzipSync(file).length, 0)];
    await context.close();
  }
  console.log(`first paint: median ${quantile(paints, 0.5).toFixed(0)} ms, slowest ${Math.max(...paints).toFixed(0)} ms of ${paints.length}`);
  console.log(`assets: ${bytes[0]} bytes, ${bytes[1]} compressed`);

  const { page, close } = await openPage(browser, bench.url);
  await wait(2);
  const [drawn, cpu, begun] = [await page.evaluate(() => window.benchDrawn), used(bench.pid), performance.now()];
  await wait(10);
  const seconds = (performance.now() - begun) / 1000;
  console.log(`pictures a second: ${(((await page.evaluate(() => window.benchDrawn)) - drawn) / seconds).toFixed(1)}`);
  console.log(`the server with one page at ×1: ${(((used(bench.pid) - cpu) / seconds) * 100).toFixed(1)} % of a core`);
  await close();

  const blank = await browser.newPage();
  await blank.goto(bench.url);
  const before = [used(bench.pid), performance.now()];
  // Each viewer is a feed; how late a frame is, is told by how unevenly the same frame reaches all of them.
  const lates = await blank.evaluate(async (viewers) => {
    const first = new Map();
    const lates = [];
    const sockets = Array.from({ length: viewers }, () => {
      const socket = new WebSocket(`ws://${location.host}/feed`, ["nightbench-page"]);
      socket.onmessage = (message) => {
        const now = performance.now();
        const at = /"at":([\d.]+)/.exec(message.data)?.[1];
        if (!at || !message.data.includes('"kind":"frame"')) return;
        if (!first.has(at)) first.set(at, now);
        lates.push(now - first.get(at));
      };
      return socket;
    });
    await new Promise((done) => setTimeout(done, 15000));
    for (const socket of sockets) socket.close();
    return lates.slice(viewers * 10);
  }, VIEWERS);
  const share = ((used(bench.pid) - before[0]) / ((performance.now() - before[1]) / 1000)) * 100;
  console.log(`${VIEWERS} viewers at 10 Hz: ${lates.length} frames, p50 ${quantile(lates, 0.5).toFixed(1)} ms, p99 ${quantile(lates, 0.99).toFixed(1)} ms behind the first, ${share.toFixed(1)} % of a core`);
} finally {
  await bench.end();
  await browser.close();
}
