// The browser of the machine, without a window.

import { chromium } from "playwright-core";

/** Opens the browser that the machine has: CHROMIUM names it where it is elsewhere. */
export function openBrowser() {
  return chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run", "--disable-background-networking"],
  });
}
