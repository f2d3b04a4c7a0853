// What the tests of pages share: a browser that may reach one origin, findings of axe-core, checks that say what they found.
import { readFileSync, mkdtempSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
// The browser asks nobody anything by itself.
const FLAGS = [
  "--headless",
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

let failures = 0;

/** Says whether something is so, and goes on. */
export function check(is, what, found = "") {
  console.log((is ? "ok    " : "FAIL  ") + what);
  if (!is) {
    failures += 1;
    if (found !== "") console.log("      " + String(found).replaceAll("\n", "\n      "));
  }
}

/** Ends the program: 1 when a check failed. */
export function end() {
  console.log(failures === 0 ? "\nAll is as it should be." : `\n${failures} failed.`);
  process.exitCode = failures === 0 ? 0 : 1;
}

/**
 * Opens a browser with an empty profile, hands over a function that makes pages, and closes it.
 * A page notes every error that it has and every request that does not begin with `allowed`.
 */
export async function withBrowser(use) {
  const profile = mkdtempSync(join(tmpdir(), "overwinter-browser-"));
  const browser = await chromium.launchPersistentContext(profile, {
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: FLAGS,
    viewport: null,
  });
  const page = async (allowed) => {
    const opened = await browser.newPage();
    const errors = [];
    const strangers = [];
    opened.on("console", (message) => {
      if (["error", "warning"].includes(message.type())) errors.push(message.text().slice(0, 300));
    });
    opened.on("pageerror", (error) => errors.push(error.message));
    opened.on("request", (request) => {
      const url = request.url();
      if (!url.startsWith(allowed) && !url.startsWith("data:")) strangers.push(url);
    });
    return { page: opened, errors, strangers };
  };
  try {
    await use(page);
  } finally {
    await browser.close();
    rmSync(profile, { recursive: true, force: true });
  }
}

/** Serious and critical findings of axe-core, as text; empty when there are none. */
export async function findings(page) {
  // Through the debugger, as the page's own policy lets no script in.
  const session = await page.context().newCDPSession(page);
  const run = (expression, awaitPromise = false) =>
    session.send("Runtime.evaluate", { expression, awaitPromise, returnByValue: true });
  await run(axe);
  const expression =
    "axe.run(document, {resultTypes: ['violations'], runOnly: ['wcag2a','wcag2aa','wcag21a','wcag21aa','wcag22aa','best-practice']})" +
    ".then((r) => r.violations.map((v) => ({ id: v.id, impact: v.impact, help: v.help, nodes: v.nodes.map((n) => n.target.join(' ') + ': ' + n.failureSummary) })))";
  const { result } = await run(expression, true);
  await session.detach();
  const grave = result.value.filter((found) => ["serious", "critical"].includes(found.impact));
  return grave.map((found) => `${found.impact} ${found.id}: ${found.help}\n  ${found.nodes.join("\n  ")}`).join("\n");
}

/** Whether the page is wider than its window. */
export const sticksOut = (page) =>
  page.evaluate(() => document.documentElement.scrollWidth > document.documentElement.clientWidth);

/** Looks at a page in light and dark, wide and at 360 px: findings, width, pictures. */
export async function looks(page, name, pictures, settled = async () => {}) {
  for (const colorScheme of ["light", "dark"]) {
    for (const width of [1280, 360]) {
      await page.setViewportSize({ width, height: 900 });
      await page.emulateMedia({ colorScheme, reducedMotion: "reduce" });
      await settled();
      const what = `${name}, ${colorScheme}, ${width} px`;
      const grave = await findings(page);
      check(grave === "", `${what}: no serious finding of axe-core`, grave);
      check(!(await sticksOut(page)), `${what}: nothing sticks out at the side`);
      await page.evaluate(() => window.scrollTo(0, 0));
      if (pictures) await page.screenshot({ path: join(pictures, `${name}-${colorScheme}-${width}.png`), fullPage: true });
    }
  }
}
