/* Shows on the crew's page how the day stands: the server's facts and, over them, those that this
   phone still keeps. All words come from the page. */

import { nextReady, day as standOf } from "./stand.js";

const KIND_OF = { set_out: "set_out", arrived: "arrived", start: "started" };
const BARS = ["main-form", "main-link", "main-done"];

export const at = (id) => document.getElementById(id);
export const read = (id, page = document) =>
  JSON.parse(page.getElementById(id)?.textContent || "null");
export const frame = read("phone-data");
const words = frame?.words;
export let day = read("day-data");

const fill = (text, values) => text.replace(/\{(\w+)\}/g, (_all, name) => values[name] ?? "");
export const count = (forms, n) => fill(forms[n === 1 ? 0 : 1], { n });

export function say(id, shown) {
  if (at(id)) at(id).hidden = !shown;
}

/** Milliseconds that this phone's clock is behind. */
export const skew = () => Number(localStorage.getItem("crew-days-skew")) || 0;

/** As the server will set it right. */
const setRight = (fact) => ({ ...fact, at: new Date(Date.parse(fact.at) + skew()).toISOString() });

function factsNow(rows) {
  const known = new Set(day.facts.map((fact) => fact.id));
  const mine = rows.filter(
    ({ id, state, fact }) =>
      state !== "refused" && !known.has(id) && fact.crew === day.crew && fact.day === day.day,
  );
  return [...day.facts, ...mine.map((row) => setRight(row.fact))];
}

/** A moment by the yard's wall clock, written as the server writes it. */
export function clock(moment) {
  if (!moment) return "";
  const how = { hour: "numeric", minute: "2-digit", timeZone: day?.zone };
  const [time, half] = new Date(moment).toLocaleTimeString("en-US", how).split(/\s/);
  return `${time} ${words.halves[half === "AM" ? 0 : 1]}`;
}

export const houseOf = (job) => day.plan.find((stop) => stop.job === job)?.name ?? "";
const sectionOf = (job) => document.querySelector(`.stop[data-job="${job}"]`);

/** Set the state of a place; its words change with it. */
function stand(place, name, state, text) {
  if (!place || place.dataset[name] === state) return;
  place.dataset[name] = state;
  const said = place.querySelector(`[data-${place.dataset.step ? "step" : name}-word]`);
  if (said) said.textContent = text;
}

function stepWords(step) {
  if (step.state === "to_come") return "";
  if (step.state === "working") return fill(words.step_started, { time: clock(step.began) });
  const { minutes, bags, whole: isWhole } = step.said.what;
  return [
    fill(words.step_finished, { time: clock(step.said.when), minutes }),
    bags ? fill(words.step_bags, { bags }) : "",
    isWhole === false ? words.step_left : "",
  ]
    .filter(Boolean)
    .join(", ");
}

/** Forms that say for which states of stop and step they are there. */
function showForms(section, stop) {
  const states = Object.fromEntries(stop.steps.map((step) => [step.kind, step.state]));
  const holds = (when, state) => !when || when.split(" ").includes(state);
  for (const form of section.querySelectorAll("form[data-when], form[data-step-when]")) {
    const { when, stepWhen, step } = form.dataset;
    form.hidden = !holds(when, stop.state) || !holds(stepWhen, states[step]);
  }
}

function drawStop(stop) {
  const section = sectionOf(stop.job);
  if (!section) return;
  const time = clock(stop.since);
  stand(section, "state", stop.state, fill(words[`state_${stop.state}`], { time }));
  for (const step of stop.steps) {
    const line = section.querySelector(`[data-step="${step.kind}"][data-state]:not(form)`);
    stand(line, "state", step.state, stepWords(step));
    const box = section.querySelector(`form[data-step="${step.kind}"] [data-since]`);
    if (box && step.began) box.dataset.since = new Date(step.began).toISOString();
  }
  for (const [condition, answer] of Object.entries(stop.answers)) {
    const line = section.querySelector(`[data-condition="${condition}"]:not(form)`);
    stand(line, "answer", answer, words[`answered_${answer}`]);
  }
  showForms(section, stop);
}

/** The house of the next action is open, unless somebody opened or closed it by hand. */
function drawCurrent(job) {
  const before = document.querySelector(".stop[data-current]");
  const now = sectionOf(job);
  if (before === now) return;
  if (before) {
    before.removeAttribute("data-current");
    if (!before.dataset.byHand) before.open = false;
  }
  if (!now) return;
  now.dataset.current = "";
  now.open = true;
}

function drawMain({ action, job, step, left }) {
  const form = at("main-form");
  if (!form) return;
  const kind = KIND_OF[action];
  const key = action === "check" ? (left === 1 ? "check_one" : "check_many") : action;
  const name = day.step_names[step];
  const text = fill(words[key], { house: houseOf(job), step: name, n: left });
  const shown = kind ? "main-form" : action === "done" ? "main-done" : "main-link";
  for (const id of BARS) say(id, id === shown);
  if (kind) {
    for (const [part, value] of Object.entries({ kind, job, step })) {
      form.dataset[part] = value;
      if (form.elements[part]) form.elements[part].value = value;
    }
    form.querySelector("button").textContent = text;
    return;
  }
  const parts = {
    check: `check-${job}`,
    finish: `finish-${job}-${step}`,
    turn_away: `away-${job}`,
    ring: "office",
  };
  at(shown).textContent = text;
  if (action !== "done") at(shown).setAttribute("href", `#${parts[action]}`);
}

/** Where to go from the last house that was not ready. */
function drawNextReady(stops) {
  const away = stops.filter((stop) => stop.state === "turned_away");
  const last = away.reduce((best, stop) => (best && best.ended >= stop.ended ? best : stop), null);
  for (const place of document.querySelectorAll("[data-next-ready]"))
    place.hidden = place.closest(".stop").dataset.job !== String(last?.job);
  const place = last && sectionOf(last.job)?.querySelector("[data-next-ready]");
  if (!place) return;
  const next = nextReady(stops, last.job);
  const key = next ? (next.ready === "reported" ? "next_reported" : "next_seen") : "next_none";
  const link = place.querySelector("[data-next-link]");
  place.querySelector("[data-next]").textContent = fill(words[key], { house: houseOf(next?.job) });
  link.hidden = !next;
  link.setAttribute("href", `#stop-${next?.job}`);
}

function refusedLine(row, drop) {
  const line = document.createElement("li");
  const button = document.createElement("button");
  const house = day ? houseOf(row.fact.job) : "";
  line.textContent = [words.kinds[row.fact.kind], house, row.why].filter(Boolean).join(" · ");
  button.type = "button";
  button.textContent = words.drop;
  button.onclick = () => drop(row);
  line.append(" ", button);
  return line;
}

/** drop: what becomes of a refused row that was read. */
export function draw(rows, unsent, drop) {
  const refused = rows.filter((row) => row.state === "refused");
  const kept = unsent.things ? count(words.kept, unsent.things) : words.all_sent;
  // Written anew only where it differs: it is read aloud.
  if (at("kept").textContent !== kept) at("kept").textContent = kept;
  at("kept").dataset.unsent = unsent.things;
  at("refused").replaceChildren(...refused.map((row) => refusedLine(row, drop)));
  say("refused-box", refused.length > 0);
  if (!day) return;
  const { stops, next } = standOf(day.plan, factsNow(rows));
  stops.forEach(drawStop);
  drawCurrent(next.job);
  drawMain(next);
  drawNextReady(stops);
}

/** The day as the server has it now. */
export function dayIs(now) {
  day = now;
}
