/* Takes over the forms of the crew's pages: each tap is kept on this phone before it is shown,
   and sent when that is possible. All words come from the page; without this script the forms
   go to the server by themselves. */
"use strict";

(() => {
  const LONGEST_SIDE = 1600;
  const MOST_BYTES = 300e3;
  const FIRST_WAIT = 5e3;
  const LONGEST_WAIT = 300e3;
  const FRESH = 300e3;
  const TWO_TAPS = 400;
  const NOT_SAID = "csrfmiddlewaretoken id kind job step condition seen_version photo".split(" ");
  const KIND_OF = { set_out: "set_out", arrived: "arrived", start: "started" };

  const at = (id) => document.getElementById(id);
  const read = (id, page = document) => JSON.parse(page.getElementById(id)?.textContent || "null");
  const frame = read("phone-data");
  if (!frame || !window.indexedDB) return;

  const { person, words } = frame;
  const others = new BroadcastChannel("crew-days");
  let day = read("day-data");
  let usable = true;

  const fill = (text, values) => text.replace(/\{(\w+)\}/g, (_all, name) => values[name] ?? "");
  const count = (forms, n) => fill(forms[n === 1 ? 0 : 1], { n });
  const say = (id, shown) => at(id) && (at(id).hidden = !shown);
  const cookie = (name) =>
    document.cookie.split("; ").find((one) => one.startsWith(`${name}=`))?.slice(name.length + 1);

  /* What stands: the server's facts and, over them, those of this phone. */

  const skew = () => Number(localStorage.getItem("crew-days-skew")) || 0;

  /** A tap in the server's time, as it will set it right. */
  const setRight = (fact) =>
    ({ ...fact, at: new Date(Date.parse(fact.at) + skew()).toISOString() });

  function factsNow(rows) {
    const known = new Set(day.facts.map((fact) => fact.id));
    const mine = rows.filter(({ id, state, fact }) =>
      state !== "refused" && !known.has(id) && fact.crew === day.crew && fact.day === day.day);
    return [...day.facts, ...mine.map((row) => setRight(row.fact))];
  }

  /** A moment by the yard's wall clock, written as the server writes it. */
  function clock(moment) {
    if (!moment) return "";
    const how = { hour: "numeric", minute: "2-digit", hour12: true, timeZone: day.zone };
    const parts = new Intl.DateTimeFormat("en-US", how).formatToParts(moment);
    const { hour, minute, dayPeriod } = Object.fromEntries(parts.map((p) => [p.type, p.value]));
    return `${hour}:${minute} ${words.halves[dayPeriod === "AM" ? 0 : 1]}`;
  }

  const houseOf = (job) => day.plan.find((stop) => stop.job === job)?.name ?? "";
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
    ].filter(Boolean).join(", ");
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
    for (const id of ["main-form", "main-link", "main-done"]) say(id, id === shown);
    if (kind) {
      for (const [part, value] of Object.entries({ kind, job, step })) {
        form.dataset[part] = value;
        if (form.elements[part]) form.elements[part].value = value;
      }
      form.querySelector("button").textContent = text;
      return;
    }
    const parts = { check: `check-${job}`, finish: `finish-${job}-${step}`, turn_away: `away-${job}` };
    at(shown).textContent = text;
    if (action !== "done") at(shown).setAttribute("href", `#${parts[action]}`);
  }

  /** Where to go from the house that was not ready, the last of several. */
  function drawNextReady(stops) {
    const away = stops.filter((stop) => stop.state === "turned_away");
    const last = away.reduce((best, stop) => (best && best.ended >= stop.ended ? best : stop), null);
    for (const place of document.querySelectorAll("[data-next-ready]"))
      place.hidden = place.closest(".stop").dataset.job !== String(last?.job);
    const place = last && sectionOf(last.job)?.querySelector("[data-next-ready]");
    if (!place) return;
    const next = Stand.nextReady(stops, last.job);
    const key = next ? (next.ready === "reported" ? "next_reported" : "next_seen") : "next_none";
    const link = place.querySelector("[data-next-link]");
    place.querySelector("[data-next]").textContent = fill(words[key], { house: houseOf(next?.job) });
    link.hidden = !next;
    link.setAttribute("href", `#stop-${next?.job}`);
  }

  function drawRefused(rows) {
    const list = at("refused");
    list.replaceChildren(...rows.filter((row) => row.state === "refused").map((row) => {
      const line = document.createElement("li");
      const button = document.createElement("button");
      const house = day ? houseOf(row.fact.job) : "";
      line.textContent = [words.kinds[row.fact.kind], house, row.why].filter(Boolean).join(" · ");
      button.type = "button";
      button.textContent = words.drop;
      button.onclick = async () => {
        await Queue.drop(row);
        await changed();
      };
      line.append(" ", button);
      return line;
    }));
    say("refused-box", list.childElementCount > 0);
  }

  async function draw() {
    const [rows, unsent] = [await Queue.rows(person), await Queue.unsent(person)];
    at("kept").textContent = unsent.things ? count(words.kept, unsent.things) : words.all_sent;
    at("kept").dataset.unsent = unsent.things;
    drawRefused(rows);
    if (!day) return;
    const { stops, next } = Stand.day(day.plan, factsNow(rows));
    stops.forEach(drawStop);
    drawCurrent(next.job);
    drawMain(next);
    drawNextReady(stops);
  }

  async function changed() {
    others.postMessage("changed");
    await draw();
  }

  /* A tap. */

  const numbers = (texts) =>
    texts.join(" ").replaceAll(",", ".").split(/[\s;]+/).filter(Boolean).map(Number);

  const WHAT = {
    finished: (told) => ({
      minutes: Number(told.get("minutes")),
      bags: told.get("bags") ? Number(told.get("bags")) : null,
      depths_in: numbers(told.getAll("depths_in")),
      whole: !["no", "false"].includes(told.get("whole")),
    }),
    turned_away: (told) =>
      ({ missing: told.getAll("missing").map(Number), why: told.get("why") || "" }),
    checked: (told) =>
      Object.fromEntries([...told].filter(([name, value]) => !NOT_SAID.includes(name) && value)),
    photo: (told) => ({ about: told.get("about") || null, caption: told.get("caption") || "" }),
    note: (told) => ({ text: told.get("text") || "" }),
  };

  const whole = (text) => (text ? Number(text) : null);

  function factOf(kind, { job, step, condition }, what) {
    return {
      id: Queue.newId(),
      kind,
      crew: day.crew,
      day: day.day,
      job: whole(job),
      step: step || "",
      condition: whole(condition),
      at: new Date().toISOString(),
      seen_version: day.version,
      what,
    };
  }

  /** Upright, small enough for a weak signal, without what the camera wrote into it. */
  async function shrink(file) {
    const picture = await createImageBitmap(file);
    const by = Math.min(1, LONGEST_SIDE / Math.max(picture.width, picture.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(1, Math.round(picture.width * by));
    canvas.height = Math.max(1, Math.round(picture.height * by));
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    let small = null;
    for (const quality of [0.8, 0.6, 0.4]) {
      small = await new Promise((done) => canvas.toBlob(done, "image/jpeg", quality));
      if (!small || small.size <= MOST_BYTES) break;
    }
    if (!small) throw new Error("no picture");
    return small;
  }

  /** Keep facts; where this phone cannot, say so and return false. */
  async function keep(told) {
    try {
      await Queue.keep(person, told);
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
    const what = WHAT[kind] ? WHAT[kind](told) : {};
    const files = told.getAll("photo").filter((file) => file.size);
    if (kind === "photo") {
      if (!files.length) return say("say-no-picture", true);
      if (!(await keepPhotos(place, files, what))) return;
      empty(form);
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

  /** Ask the browser, once, not to throw away what is kept here when it wants room. */
  function askToStay() {
    if (localStorage.getItem("crew-days-stay")) return;
    localStorage.setItem("crew-days-stay", "asked");
    navigator.storage?.persist?.().catch(() => {});
  }

  /* Sending, and the page as it is on the server by now. */

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
    else running = syncOnce().finally(() => {
      running = null;
      if (again) sync();
      again = false;
    });
    return running;
  }

  async function syncOnce() {
    clearTimeout(timer);
    let became = "kept";
    if ((await Queue.unsent(person)).things) {
      const sent = await Queue.send(way);
      became = sent.became;
      if (sent.skew !== null)
        localStorage.setItem("crew-days-skew", Math.abs(sent.skew) > 6e4 ? sent.skew : 0);
      await changed();
    }
    say("say-sign-in", became === "sign_in");
    say("say-other", became === "other");
    isStale ||= became === "again";
    if (became === "kept" && (isStale || Date.now() - freshAt > FRESH)) await refresh();
    const isDone = became === "kept" && !isStale;
    wait = isDone ? FIRST_WAIT : Math.min(wait * 2, LONGEST_WAIT);
    timer = setTimeout(sync, isDone ? FRESH : wait * (0.75 + Math.random() / 2));
  }

  /** Ask for this page anew; say what has changed, and keep what is typed. */
  async function refresh() {
    let answer = null;
    let text = "";
    try {
      answer = await fetch(location.href, { cache: "no-store" });
      text = await answer.text();
    } catch {
      isStale = true;
      return;
    }
    const page = new DOMParser().parseFromString(text, "text/html");
    const said = read("phone-data", page);
    if (said && said.person !== person) return location.reload();
    if (answer.status === 404) say("say-gone", true);
    else if (answer.ok && said) renew(page);
    else if (answer.redirected || [401, 403].includes(answer.status)) say("say-sign-in", true);
    else return;
    isStale = false;
    freshAt = Date.now();
    say("say-cached", false);
  }

  async function renew(page) {
    const now = read("day-data", page);
    if (!day || !now) {
      if (!day) at("main").replaceWith(page.getElementById("main"));
      return;
    }
    const isOther = JSON.stringify(now.plan) !== JSON.stringify(day.plan);
    day = now;
    if (isOther) {
      swap(page);
      say("say-changed", true);
    }
    await tidy();
    await draw();
  }

  const nameOf = (form) =>
    ["kind", "job", "step", "condition", "answer"].map((name) =>
      form.dataset[name] ?? form.elements[name]?.value ?? "").join("|");

  /** The new plan in the place of the old; forms in which something is typed move over. */
  function swap(page) {
    const typed = [...document.querySelectorAll("form.fact[data-typed]")];
    const active = document.activeElement;
    const main = page.getElementById("main");
    const names = new Map([...main.querySelectorAll("form.fact")].map((form) => [nameOf(form), form]));
    const left = typed.filter((form) => !names.has(nameOf(form)));
    at("main").replaceWith(main);
    for (const form of typed) {
      const twin = names.get(nameOf(form));
      if (twin) twin.replaceWith(form);
      else at("left-over").append(form);
      open(form);
    }
    say("left-over-box", left.length > 0);
    if (typed.some((form) => form.contains(active))) active.focus();
  }

  /** Open whatever a place of the page is folded away in. */
  function open(place) {
    for (let fold = place?.closest("details"); fold; fold = fold.parentElement.closest("details"))
      fold.open = true;
  }

  /** How long it has been since the step began, where nobody has typed anything else. */
  function fillMinutes(place) {
    for (const box of place.querySelectorAll("[data-since]")) {
      const since = Date.parse(box.dataset.since);
      const minutes = Math.round((Date.now() + skew() - since) / 6e4);
      if (!box.form.dataset.typed && minutes > 0 && minutes <= 1440) box.value = minutes;
    }
  }

  /* Signing out. */

  async function dropPages() {
    const names = (await window.caches?.keys()) || [];
    await Promise.all(names.filter((name) => name.startsWith("pages-")).map((name) => caches.delete(name)));
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
    const { things } = await Queue.unsent(person);
    if (!things) return signOut(form);
    at("leave-count").textContent = count(words.leave, things);
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

  /* What happens on the page. */

  let mainTapped = -TWO_TAPS;

  /** The second of two taps in haste would say the next thing, which nobody has read yet. */
  function isInHaste(form, event) {
    if (form.id !== "main-form") return false;
    const haste = event.timeStamp - mainTapped < TWO_TAPS;
    if (!haste) mainTapped = event.timeStamp;
    return haste;
  }

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
    if (place) open(place.querySelector(":scope > details") || place);
    if (place) fillMinutes(place);
  });
  document.addEventListener("toggle", ({ target }) => target.open && fillMinutes(target), true);
  document.addEventListener("visibilitychange", () => document.hidden || sync());
  addEventListener("pageshow", (event) => event.persisted && location.reload());
  addEventListener("offline", () => (isStale = true));
  addEventListener("online", () => {
    isStale = true;
    wait = FIRST_WAIT;
    sync();
  });
  others.onmessage = () => draw();

  async function worker() {
    const kept = navigator.serviceWorker;
    if (!kept) return;
    // An answer that came after the kept page was shown: a new copy, or that the session is over.
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

  const tidy = () => Queue.tidy(person, new Set((day?.facts || []).map((fact) => fact.id)));

  async function start() {
    try {
      await tidy();
      await draw();
    } catch {
      usable = false; // No store here: the forms go to the server by themselves.
      return;
    }
    const since = Number(document.documentElement.dataset.kept);
    if (since && at("say-cached")) {
      const time = new Date(since);
      const lang = document.documentElement.lang;
      at("cached-at").textContent = time.toLocaleTimeString(lang, { hour: "numeric", minute: "2-digit" });
      say("say-cached", true);
    }
    worker().catch(() => {});
    sync();
  }
  start();
})();
