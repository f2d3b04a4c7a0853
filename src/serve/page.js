// Controls to settings, and answers to the page. Plain: no library, nothing from elsewhere.
"use strict";

// Factor from SI, symbol, step and decimals of what the page measures.
const KINDS = {
  length: { metric: [1000, "mm", 1, 0], us: [1 / 0.0254, "in", 0.125, 3] },
  width: { metric: [1000, "mm", 1, 0], us: [1 / 0.0254, "in", 0.125, 3] },
  mass: { metric: [1, "kg", 0.5, 1], us: [1 / 0.45359237, "lb", 1, 1] },
  count: { metric: [1, "bees", 100, 0], us: [1, "bees", 100, 0] },
};
const CHOICES = ["hive", "lid", "vents", "shelter"];
// What another hive in its place makes void.
const OF_THE_HIVE = ["entrance_m", "vents"];
const PAUSE_MS = 150;
// Share by which a chart's place must be wider or narrower than the chart.
const REDRAWN_FROM = 0.1;

const at = (id) => document.getElementById(id);
const dark = window.matchMedia("(prefers-color-scheme: dark)");
const moved = new Map();
let running = null;
let waiting = 0;
let resizing = 0;
let width = 0;
let last = null;

const units = () => at("units").value;
const numbers = () => document.querySelectorAll("[data-number]");

function shown(box, si) {
  const [factor, , , decimals] = KINDS[box.dataset.kind][units()];
  return String(Number((si * factor).toFixed(decimals)));
}

function draw(box) {
  const id = box.dataset.number;
  const [factor, symbol, step] = KINDS[box.dataset.kind][units()];
  const range = at(id + "-range");
  const number = at(id);
  box.querySelector(".unit").textContent = symbol;
  const low = Math.floor((Number(box.dataset.low) * factor) / step) * step || 0;
  const least = low > 0 ? low : Number(box.dataset.low) > 0 ? step : 0;
  const high = Math.round((Number(box.dataset.high) * factor) / step) * step;
  for (const input of [range, number]) {
    input.min = String(least);
    input.max = String(high);
    input.step = String(step);
  }
  const si = moved.has(id) ? moved.get(id) : Number(box.dataset.own);
  const has = moved.has(id) || box.dataset.own !== undefined;
  // What is being typed is not typed over.
  if (document.activeElement !== number) number.value = has ? shown(box, si) : "";
  range.value = has ? String(si * factor) : String(least);
  range.setAttribute("aria-valuetext", has ? shown(box, si) + " " + symbol : "none");
}

function settings() {
  const said = { members: Number(at("members").value) };
  for (const id of CHOICES) if (at(id).value !== "" && !at(id).disabled) said[id] = at(id).value;
  const weather = at("weather").value;
  if (weather === "sample") said.weather = "sample";
  else if (weather !== "") said.weather = { file: weather.slice("file:".length) };
  for (const [id, si] of moved) if (!at(id).disabled) said[id] = si;
  return said;
}

function look() {
  const box = at("charts");
  const columns = getComputedStyle(box).gridTemplateColumns.split(" ").length;
  const width = Math.floor(box.clientWidth / columns) - 20;
  return { us: units() === "us", dark: dark.matches, width_px: Math.min(900, Math.max(320, width)) };
}

async function post(path, body, signal) {
  const response = await fetch(path, {
    method: "POST",
    headers: { "content-type": "application/json", "x-overwinter": "page" },
    body: JSON.stringify(body),
    signal,
  });
  if (response.ok) return response;
  const text = await response.text();
  let problem = text;
  try {
    problem = JSON.parse(text).problem;
  } catch {
    // A refusal in plain words.
  }
  throw new Error(problem || "the program refused");
}

function list(id, items) {
  at(id).replaceChildren(
    ...items.map((text) => {
      const item = document.createElement("li");
      item.textContent = text;
      return item;
    }),
  );
}

function progress(done, total) {
  at("run").max = total;
  at("run").value = done;
  at("run-label").textContent = "Colonies that have run: " + done + " of " + total;
}

function controls(all) {
  for (const control of all) {
    const input = at(control.id);
    const box = input.closest("[data-number]");
    const refused = control.refused !== null;
    input.disabled = refused;
    at(control.id + "-note").textContent = refused ? control.refused : control.note;
    if (!box) continue;
    at(control.id + "-range").disabled = refused;
    if (control.own === null) delete box.dataset.own;
    else box.dataset.own = String(control.own);
    draw(box);
  }
}

function take(line, asked) {
  if (line.kind === "started") {
    controls(line.controls);
    list("notes", line.notes);
  } else if (line.kind === "progress") {
    progress(line.done, line.total);
  } else if (line.kind === "answer") {
    progress(2 * line.members, 2 * line.total);
    at("verdict").textContent = line.verdict;
    // Made and escaped by the program itself.
    at("figures").innerHTML = line.figures;
    at("charts").innerHTML = line.charts;
    list("weather-notes", line.weather);
    if (line.complete) {
      last = asked;
      at("said").textContent = line.verdict;
      at("save-button").disabled = false;
      at("answer").setAttribute("aria-busy", "false");
    }
  } else if (line.kind === "failed") {
    throw new Error(line.problem);
  }
}

async function ask() {
  if (running) running.abort();
  const mine = new AbortController();
  running = mine;
  last = null;
  const asked = { settings: settings(), look: look() };
  width = asked.look.width_px;
  try {
    const response = await post("/answer", asked, mine.signal);
    at("problem").textContent = "";
    const reader = response.body.pipeThrough(new TextDecoderStream()).getReader();
    let rest = "";
    for (;;) {
      const { value, done } = await reader.read();
      if (done) break;
      const lines = (rest + value).split("\n");
      rest = lines.pop();
      for (const line of lines) if (running === mine) take(JSON.parse(line), asked);
    }
    if (running === mine && last === null) throw new Error("the program ended before the answer was complete");
  } catch (error) {
    if (running !== mine) return;
    at("answer").setAttribute("aria-busy", "false");
    at("problem").textContent =
      error instanceof TypeError ? "The program does not answer. Is it still running?" : "Not run: " + error.message;
  }
}

function askSoon() {
  at("save-button").disabled = true;
  at("answer").setAttribute("aria-busy", "true");
  clearTimeout(waiting);
  waiting = setTimeout(ask, PAUSE_MS);
}

function onNumber(box, input) {
  const id = box.dataset.number;
  const [factor] = KINDS[box.dataset.kind][units()];
  if (input.value === "" || !Number.isFinite(Number(input.value))) return;
  const low = Number(box.dataset.low);
  const high = Number(box.dataset.high);
  const si = Math.min(high, Math.max(low, Number(input.value) / factor));
  moved.set(id, si);
  draw(box);
  askSoon();
}

function back() {
  moved.clear();
  for (const select of at("controls").querySelectorAll("select")) if (select.id !== "units") select.value = select.id === "members" ? "300" : "";
  for (const box of numbers()) draw(box);
  askSoon();
}

async function save(event) {
  event.preventDefault();
  if (last === null) return;
  at("save-button").disabled = true;
  at("saved").textContent = "Saving.";
  try {
    const response = await post("/save", { name: at("name").value, ...last });
    const saved = await response.json();
    at("saved").textContent = "Saved: " + saved.scenarios.join(", ") + " and the folder " + saved.report + ".";
  } catch (error) {
    at("saved").textContent = "Not saved: " + error.message + ".";
  }
  at("save-button").disabled = last === null;
}

for (const box of numbers()) {
  for (const input of box.querySelectorAll("input")) {
    input.addEventListener("input", () => onNumber(box, input));
    // Where a number was typed that is out of bounds, the nearest that is not stands when it is left.
    input.addEventListener("blur", () => draw(box));
  }
}
for (const select of at("controls").querySelectorAll("select")) {
  select.addEventListener("change", () => {
    if (select.id === "hive") {
      for (const id of OF_THE_HIVE) moved.delete(id);
      at("vents").value = "";
    }
    if (select.id === "units") for (const box of numbers()) draw(box);
    askSoon();
  });
}
at("controls").addEventListener("submit", (event) => event.preventDefault());
at("back").addEventListener("click", back);
at("save").addEventListener("submit", save);
dark.addEventListener("change", askSoon);
window.addEventListener("resize", () => {
  clearTimeout(resizing);
  resizing = setTimeout(() => {
    // Charts are drawn for a width: another one is worth asking only where it would be read worse.
    if (Math.abs(look().width_px / width - 1) > REDRAWN_FROM) askSoon();
  }, PAUSE_MS);
});
for (const box of numbers()) draw(box);
askSoon();
