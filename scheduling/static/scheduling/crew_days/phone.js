/* Takes over the forms of the crew's pages: a tap is kept on this phone before it is shown, and
   sent when that is possible. Without this, the forms go to the server by themselves. */

import * as queue from "./queue.js";
import {
  at,
  clock,
  count,
  day,
  dayIs,
  draw as drawDay,
  frame,
  houseOf,
  read,
  say,
  skew,
} from "./shown.js";
import { factOf, shrink, whatOf } from "./tap.js";

const FIRST_WAIT = 5e3;
const LONGEST_WAIT = 300e3;
const FRESH = 300e3;
const TWO_TAPS = 400;

const { person } = frame;
const others = new BroadcastChannel("crew-days");
let usable = true;

const cookie = (name) =>
  document.cookie
    .split("; ")
    .find((one) => one.startsWith(`${name}=`))
    ?.slice(name.length + 1);

function remember(name, value) {
  try {
    localStorage.setItem(name, value);
  } catch {
    // A full phone: a hint less.
  }
}

async function draw() {
  const [rows, unsent] = [await queue.rows(person), await queue.unsent(person)];
  drawDay(rows, unsent, async (row) => {
    await queue.drop(row);
    await changed();
  });
}

async function changed() {
  others.postMessage("changed");
  await draw();
}

/* A tap. */

/** Keep facts; where this phone cannot, say so and return false. */
async function keep(told) {
  try {
    await queue.keep(person, told);
  } catch (error) {
    say(error?.name === "QuotaExceededError" ? "say-full" : "say-not-kept", true);
    return false;
  }
  for (const id of ["say-full", "say-not-kept", "say-no-picture"]) say(id, false);
  await changed();
  return true;
}

async function keepPhotos(place, files, what) {
  for (const file of files) {
    let picture = null;
    try {
      say("say-keeping", true);
      picture = await shrink(file);
    } catch {
      say("say-no-picture", true);
      return false;
    } finally {
      say("say-keeping", false);
    }
    if (!(await keep([{ fact: factOf("photo", place, what), picture }]))) return false;
  }
  return true;
}

async function take(form, submitter) {
  const told = new FormData(form);
  if (submitter?.name) told.append(submitter.name, submitter.value);
  const place = { ...form.dataset };
  const { kind } = place;
  const what = whatOf(kind, told);
  const files = told.getAll("photo").filter((file) => file.size);
  if (kind === "photo") {
    if (await keepPhotos(place, files, what)) empty(form);
  } else {
    const fact = factOf(kind, place, what);
    if (!(await keep([{ fact }]))) return;
    empty(form);
    await keepPhotos(place, files, { about: fact.id, caption: "" });
  }
  askToStay();
  sync();
}

function empty(form) {
  form.reset();
  delete form.dataset.typed;
  form.closest("details:not(.stop)")?.removeAttribute("open");
}

/** Once: that the browser throws nothing away when it wants room. */
function askToStay() {
  if (localStorage.getItem("crew-days-stay")) return;
  remember("crew-days-stay", "asked");
  navigator.storage?.persist?.().catch(() => {});
}

/* Sending. */

const way = {
  person,
  url: frame.facts,
  token: () => cookie(frame.csrf_cookie) || "",
  told: () => changed(),
};
let wait = FIRST_WAIT;
let timer = null;
let running = null;
let again = false;
let freshAt = Date.now();
let isStale = "kept" in document.documentElement.dataset;

function sync() {
  if (running) again = true;
  else
    running = syncOnce().finally(() => {
      running = null;
      if (again) sync();
      again = false;
    });
  return running;
}

async function syncOnce() {
  clearTimeout(timer);
  let became = "kept";
  if ((await queue.unsent(person)).things) {
    const sent = await queue.send(way);
    became = sent.became;
    if (sent.skew !== null) remember("crew-days-skew", Math.abs(sent.skew) > 6e4 ? sent.skew : 0);
    await changed();
  }
  const isOld = !document.hidden && Date.now() - freshAt > FRESH;
  if (became === "kept" && (isStale || isOld)) became = await refresh();
  say("say-sign-in", became === "sign_in");
  say("say-other", became === "other");
  isStale = became !== "kept";
  wait = isStale ? Math.min(wait * 2, LONGEST_WAIT) : FIRST_WAIT;
  timer = setTimeout(sync, isStale ? wait * (0.75 + Math.random() / 2) : FRESH);
}

/** The page as the server has it now. */
async function refresh() {
  let answer = null;
  let text = "";
  try {
    answer = await fetch(location.href, { cache: "no-store" });
    text = await answer.text();
  } catch {
    return "again";
  }
  const page = new DOMParser().parseFromString(text, "text/html");
  const said = read("phone-data", page);
  if (said && said.person !== person) location.reload();
  if (answer.redirected || [401, 403].includes(answer.status)) return "sign_in";
  if (answer.status === 404) say("say-gone", true);
  else if (answer.ok && said) await renew(page);
  else return "again";
  freshAt = Date.now();
  say("say-cached", false);
  return "kept";
}

const shape = (plan) => JSON.stringify(plan.map(({ name, job, steps }) => [name, job, steps]));
const looks = (plan) => plan.flatMap((stop) => stop.checks.map((check) => check.condition));

async function renew(page) {
  const before = day;
  const now = read("day-data", page);
  if (now) {
    const known = looks(before.plan);
    const isOther = shape(now.plan) !== shape(before.plan);
    const hasMore = looks(now.plan).some((condition) => !known.includes(condition));
    if (isOther || hasMore) swap(page);
    if (isOther) say("say-changed", true);
    dayIs(now);
    await tidy();
  } else at("main").replaceWith(page.getElementById("main"));
  await draw();
}

const nameOf = (form) =>
  ["kind", "job", "step", "condition", "answer"]
    .map((name) => form.dataset[name] ?? form.elements[name]?.value ?? "")
    .join("|");

/** The new plan for the old one; what is typed moves over. */
function swap(page) {
  const typed = [...document.querySelectorAll("form.fact[data-typed]")];
  const active = document.activeElement;
  const main = page.getElementById("main");
  const names = new Map(
    [...main.querySelectorAll("form.fact")].map((form) => [nameOf(form), form]),
  );
  at("main").replaceWith(main);
  for (const form of typed) {
    const twin = names.get(nameOf(form));
    if (twin) twin.replaceWith(form);
    else at("left-over").append(houseOf(Number(form.dataset.job)), form);
    unfold(form);
  }
  say("left-over-box", at("left-over").childElementCount > 0);
  if (typed.some((form) => form.contains(active))) active.focus();
}

/** Open what a place is folded away in. */
function unfold(place) {
  for (let fold = place?.closest("details"); fold; fold = fold.parentElement.closest("details"))
    fold.open = true;
}

/** Minutes since the step began, unless somebody has typed. */
function fillMinutes(place) {
  for (const box of place.querySelectorAll("[data-since]")) {
    const since = Date.parse(box.dataset.since);
    const minutes = Math.round((Date.now() + skew() - since) / 6e4);
    if (!box.form.dataset.typed && minutes > 0 && minutes <= 1440) box.value = minutes;
  }
}

/* Signing out. */

async function dropPages() {
  for (const name of (await window.caches?.keys()) || [])
    if (name.startsWith("pages-")) await caches.delete(name);
}

async function signOut(form) {
  let answer = null;
  try {
    answer = await fetch(form.action, { method: "POST", body: new FormData(form) });
  } catch {
    return say("say-still-in", true);
  }
  await dropPages();
  if (answer.ok) location.assign(answer.url);
  else form.submit();
}

async function leave(form) {
  const { things } = await queue.unsent(person);
  if (!things) return signOut(form);
  at("leave-count").textContent = count(frame.words.leave, things);
  const dialog = at("leave");
  dialog.returnValue = "stay";
  dialog.onclose = async () => {
    if (dialog.returnValue === "leave") await signOut(form);
    if (dialog.returnValue !== "send") return;
    await sync();
    await leave(form);
  };
  dialog.showModal();
}

let mainTapped = -TWO_TAPS;

/** The second of two taps in haste would say the next thing, which nobody has read yet. */
function isInHaste(form, event) {
  if (form.id !== "main-form") return false;
  const haste = event.timeStamp - mainTapped < TWO_TAPS;
  if (!haste) mainTapped = event.timeStamp;
  return haste;
}

function listen() {
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!usable) return;
    if (form.matches('form[action$="/sign-out/"]')) {
      event.preventDefault();
      leave(form);
    } else if (day && form.matches("form.fact")) {
      event.preventDefault();
      if (form.dataset.busy || isInHaste(form, event)) return;
      form.dataset.busy = "1";
      take(form, event.submitter).finally(() => delete form.dataset.busy);
    }
  });
  document.addEventListener("input", ({ target }) => {
    const form = target.closest("form.fact");
    if (form) form.dataset.typed = "1";
  });
  document.addEventListener("click", ({ target }) => {
    const stop = target.closest("summary")?.parentElement;
    if (stop?.matches(".stop")) stop.dataset.byHand = "1";
    const link = target.closest('a[href^="#"]');
    const place = link && at(link.getAttribute("href").slice(1));
    if (!place) return;
    unfold(place.querySelector(":scope > details") || place);
    fillMinutes(place);
  });
  document.addEventListener("toggle", ({ target }) => target.open && fillMinutes(target), true);
  document.addEventListener("visibilitychange", () => document.hidden || sync());
  addEventListener("pageshow", (event) => event.persisted && location.reload());
  addEventListener("offline", () => {
    isStale = true;
  });
  addEventListener("online", () => {
    isStale = true;
    wait = FIRST_WAIT;
    sync();
  });
  others.onmessage = () => draw();
}

async function worker() {
  const kept = navigator.serviceWorker;
  if (!kept) return;
  // The server was late: a new copy, or the session is over.
  kept.addEventListener("message", ({ data }) => {
    if (data.ended) location.reload();
    else if (data.url === location.href.split("#")[0]) {
      isStale = true;
      sync();
    }
  });
  await kept.register(frame.worker, { scope: frame.scope });
  (await kept.ready).active.postMessage({ keep: frame.keep });
}

const tidy = () => queue.tidy(person, new Set(day?.facts.map((fact) => fact.id)));

async function start() {
  listen();
  try {
    await tidy();
    await draw();
  } catch {
    usable = false; // No store here: the forms go to the server by themselves.
    return;
  }
  const since = Number(document.documentElement.dataset.kept) || 0;
  if (since) at("cached-at").textContent = clock(since + skew());
  say("say-cached", since > 0);
  worker().catch(() => {});
  sync();
}
// Where nothing can be kept, the forms go to the server by themselves.
if (window.indexedDB) start();
