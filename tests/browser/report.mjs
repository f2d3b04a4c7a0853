// The page of a result, opened from its file: node report.mjs BINARY [FOLDER-FOR-PICTURES]
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { check, end, looks, withBrowser } from "./browser.mjs";

const [binary, pictures] = process.argv.slice(2);
const folder = mkdtempSync(join(tmpdir(), "overwinter-pages-"));
const run = (...words) => execFileSync(binary, words, { cwd: folder, encoding: "utf8" });

const commands = {
  run: ["run", "--members", "20", "--quiet"],
  compare: ["compare", "sample", "--hive", "foam-two-boxes", "--members", "20", "--quiet"],
  sensitivity: ["sensitivity", "--rows", "8", "--quiet"],
  sweep: ["sweep", "--set", "colony.bees=9000,15500", "--members", "20", "--quiet"],
  trace: ["trace"],
};
const hostile = [
  "<script>document.title = 'run';</script>",
  "<img src=x onerror=\"document.title='run'\">",
  "x".repeat(500),
  "חורף קר ושלג",
  "🐝❄️ \u202egnorw",
];

try {
  for (const [name, words] of Object.entries(commands)) run(...words, "--out", name);
  run("new", "starter.toml");
  const starter = readFileSync(join(folder, "starter.toml"), "utf8");
  for (const [number, name] of hostile.entries()) {
    writeFileSync(join(folder, `yard-${number}.toml`), starter.replace(/^name = "Kettlewend, .*"$/m, `name = ${JSON.stringify(name)}`));
    run("run", `yard-${number}.toml`, "--members", "4", "--quiet", "--out", `hostile-${number}`);
  }
  const pages = [...Object.keys(commands), ...hostile.map((_, number) => `hostile-${number}`)];
  await withBrowser(async (open) => {
    for (const name of pages) {
      const url = pathToFileURL(join(folder, name, "report.html")).href;
      const { page, errors, strangers } = await open(url);
      await page.setViewportSize({ width: 1280, height: 900 });
      await page.goto(url);
      const title = await page.title();
      check(title !== "run" && title !== "", `${name}: has its title`, title);
      const faces = await page.evaluate(async () => {
        await document.fonts.ready;
        return Array.from(document.fonts).map((face) => face.status);
      });
      check(faces.length === 2 && faces.every((face) => face === "loaded"), `${name}: brings its font`, faces);
      check((await page.locator("main figure .wide svg:visible").count()) > 0, `${name}: shows pictures`);
      const told = page.locator("figure .wide svg circle:has(> title)");
      if ((await told.count()) > 0) {
        const mark = told.first();
        await mark.scrollIntoViewIfNeeded();
        await mark.hover({ force: true });
        const tip = await page.locator("#tip").textContent();
        check((await page.locator("#tip").isVisible()) && tip.length > 3, `${name}: a mark says what it is`, tip);
      }
      await looks(page, name, pictures);
      await page.setViewportSize({ width: 360, height: 800 });
      check((await page.locator("figure .narrow svg:visible").count()) > 0, `${name}: a phone gets pictures of its own`);
      check(errors.length === 0, `${name}: nothing was wrong in the console`, errors.join("\n"));
      check(strangers.length === 0, `${name}: nothing was asked of anyone`, strangers.join("\n"));
      await page.close();
    }
    // The dark one is asked for, not the reader's.
    run("report", "run", "--chart-theme", "dark", "--units", "us", "--out", "dark");
    const url = pathToFileURL(join(folder, "dark", "report.html")).href;
    const { page, errors } = await open(url);
    await page.goto(url);
    check((await page.locator("body").textContent()).includes(" lb "), "a page can be had in pounds");
    await looks(page, "dark", pictures);
    check(errors.length === 0, "dark: nothing was wrong in the console", errors.join("\n"));
  });
} finally {
  rmSync(folder, { recursive: true, force: true });
}
end();
