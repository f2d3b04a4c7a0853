// The page of `overwinter serve`, used as a keeper would: node serve.mjs BINARY [FOLDER-FOR-PICTURES]
import { spawn } from "node:child_process";
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { check, end, looks, withBrowser } from "./browser.mjs";

const [binary, pictures] = process.argv.slice(2);
// A debug build takes a quarter of a second for a winter.
const LONG_MS = 300_000;

function started(folder) {
  const program = spawn(binary, ["serve", "--port", "0", "--folder", folder], { cwd: folder });
  return new Promise((resolve, reject) => {
    let said = "";
    program.stdout.on("data", (bytes) => {
      said += bytes;
      const url = said.match(/http:\/\/127\.0\.0\.1:\d+\//);
      if (url) resolve({ program, url: url[0] });
    });
    program.on("exit", (code) => reject(new Error(`ended with ${code}: ${said}`)));
  });
}

const complete = (page) =>
  page.waitForFunction(() => document.getElementById("answer").getAttribute("aria-busy") === "false", null, { timeout: LONG_MS });
const text = (page, id) => page.locator("#" + id).textContent();

const folder = mkdtempSync(join(tmpdir(), "overwinter-served-"));
writeFileSync(join(folder, "<b>bold.csv"), "time,temperature_c\n2019-11-01T00:00,3\n");
const { program, url } = await started(folder);
try {
  await withBrowser(async (open) => {
    const { page, errors, strangers } = await open(url);
    await page.setViewportSize({ width: 1280, height: 900 });
    await page.goto(url);
    await page.selectOption("#members", "100");
    await complete(page);
    check((await text(page, "verdict")).includes("alike"), "two hives that are the same are said to be alike", await text(page, "verdict"));
    check((await page.locator("#weather option").allTextContents()).some((option) => option.startsWith("<b>bold.csv")), "a file's name is shown as it is written");
    check((await page.locator("#charts svg").count()) > 0, "charts are drawn");

    const before = await text(page, "figures");
    await page.locator("#wall_added_m-range").focus();
    for (let step = 0; step < 4; step += 1) await page.keyboard.press("PageUp");
    check(Number(await page.inputValue("#wall_added_m")) > 20, "the foam is moved by the keyboard");
    await page.waitForFunction((old) => document.getElementById("figures").textContent !== old, before, { timeout: LONG_MS });
    check((await text(page, "said")).includes("alike"), "a screen reader is not told of every step");
    await complete(page);
    const verdict = await text(page, "verdict");
    check(/needs .* less honey/.test(verdict), "the changed hive answers", verdict);
    check((await text(page, "said")) === verdict, "a screen reader is told the whole answer");

    await page.fill("#name", "spring");
    await page.click("#save-button");
    await page.waitForFunction(() => document.getElementById("saved").textContent.startsWith("Saved:"), null, { timeout: LONG_MS });
    check(readFileSync(join(folder, "spring-changed.toml"), "utf8").includes("mm xps"), "the changed scenario is in the folder, with what was moved");
    check(existsSync(join(folder, "spring", "comparison.json")), "the results are in the folder");
    const files = readdirSync(folder).length;
    await page.click("#save-button");
    await page.waitForFunction(() => document.getElementById("saved").textContent.startsWith("Not saved:"), null, { timeout: LONG_MS });
    check(readdirSync(folder).length === files, "the same name is not saved twice");
    // Chromium logs refusals of a server as errors; this one was asked for.
    const asked = errors.filter((error) => error.includes("409"));
    check(asked.length === 1, "the refusal of the same name is the one that was asked for", errors.join("\n"));

    await page.selectOption("#units", "us");
    await complete(page);
    check(/\slb/.test(await text(page, "figures")), "the figures can be had in pounds");
    check((await page.locator("[data-number=wall_added_m] .unit").textContent()) === "in", "and the controls in inches");
    await page.selectOption("#hive", "hollow-log");
    await page.waitForFunction(() => document.getElementById("vents").disabled, null, { timeout: LONG_MS });
    check((await text(page, "vents-note")).includes("no vents"), "a control that does nothing says why");

    await page.selectOption("#hive", "");
    await page.selectOption("#units", "metric");
    await page.waitForTimeout(500);
    await complete(page);
    await looks(page, "serve", pictures, async () => {
      await page.waitForTimeout(500);
      await complete(page);
    });
    await page.close();
    check(errors.length === asked.length, "nothing was wrong in the console", errors.join("\n"));
    check(strangers.length === 0, "no other origin was asked", strangers.join("\n"));
  });
} finally {
  program.removeAllListeners("exit");
  program.kill("SIGTERM");
  rmSync(folder, { recursive: true, force: true });
}
end();
