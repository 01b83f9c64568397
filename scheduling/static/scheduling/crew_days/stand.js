/* Where a crew stands in its day and what comes next: the rule of scheduling/progress/stand.py,
   for a phone without signal. Knows neither page nor store; a test holds the two together. */

const BEGUN = ["arrived", "checked", "started", "finished", "turned_away"];

/** Milliseconds with the thousandths that Date.parse leaves out. */
function moment(text) {
  const rest = /\.\d{3}(\d{1,3})/.exec(text);
  return Date.parse(text) + (rest ? Number(rest[1].padEnd(3, "0")) / 1000 : 0);
}

const later = (a, b) => a.when - b.when || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0);

const last = (facts, kind, step = "") =>
  facts.findLast((fact) => fact.kind === kind && (fact.step || "") === step);

function stepOf(kind, facts) {
  const finished = last(facts, "finished", kind);
  const again = last(facts, "started", kind);
  const first = facts.find((fact) => fact.kind === "started" && fact.step === kind);
  const began = finished && again && again.when > finished.when ? again : first;
  const isFinished = Boolean(finished) && (!began || began.when <= finished.when);
  const state = isFinished ? "finished" : began ? "working" : "to_come";
  return { kind, state, began: began?.when, said: finished };
}

/** The last time that the crew was turned away, unless it was let in afterwards. */
function awayOf(facts) {
  const away = last(facts, "turned_away");
  const worked = (fact) => ["started", "finished"].includes(fact.kind) && later(fact, away) > 0;
  return away && !facts.some(worked) ? away : null;
}

function stateOf(facts, steps) {
  const said = (...kinds) => facts.some((fact) => kinds.includes(fact.kind));
  if (awayOf(facts)) return "turned_away";
  if (steps.length && steps.every((step) => step.state === "finished")) return "finished";
  if (said("started", "finished")) return "working";
  if (said("arrived", "checked")) return "there";
  return said("set_out") ? "on_the_way" : "to_come";
}

function stopOf(planned, facts) {
  const named = facts.filter((fact) => ["started", "finished"].includes(fact.kind));
  const kinds = new Set([...planned.steps, ...named.map((fact) => fact.step)]);
  const steps = [...kinds].map((kind) => stepOf(kind, facts));
  const answers = {};
  for (const fact of facts)
    if (fact.kind === "checked" && fact.condition !== null)
      answers[fact.condition] = fact.what.answer || "";
  const state = stateOf(facts, steps);
  const first = (...those) => facts.find((fact) => those.includes(fact.kind))?.when;
  const ended = {
    finished: Math.max(...steps.map((step) => step.said?.when ?? 0)),
    turned_away: awayOf(facts)?.when,
  }[state];
  return {
    ...planned,
    state,
    steps,
    answers,
    ended,
    lastAt: facts.length ? facts[facts.length - 1].when : null,
    since: ended ?? first(...BEGUN) ?? first("set_out"),
  };
}

/** The house of which was spoken last, the first of several in driving order. */
function spokenOfLast(stops) {
  const begun = stops.filter((stop) => stop.lastAt !== null && stop.state !== "to_come");
  return begun.reduce((best, stop) => (best && best.lastAt >= stop.lastAt ? best : stop), null);
}

function nextAt(stop) {
  const about = (action, step) => ({ action, job: stop.job, step: step.kind });
  const working = stop.steps.find((step) => step.state === "working");
  if (working) return about("finish", working);
  const step = stop.steps.find((one) => one.state !== "finished");
  const held = stop.checks.filter((check) => check.holds.includes(step.kind));
  const said = held.map((check) => stop.answers[check.condition]);
  if (said.includes("not_true")) return about("turn_away", step);
  const left = said.filter((answer) => answer === undefined).length;
  return { ...about(left ? "check" : "start", step), left };
}

const hasEnded = (stop) => ["finished", "turned_away"].includes(stop.state);

/** Where a crew goes that was turned away: scheduling/progress/next_stop.py. */
export function nextReady(stops, awayFrom) {
  const others = stops.filter((stop) => stop.job !== awayFrom && !hasEnded(stop));
  const sure = (ready) => others.find((stop) => stop.ready === ready);
  const begun = others.find((stop) => stop.state === "working");
  if (begun) return { job: begun.job, ready: "seen" };
  const found = sure("seen") || sure("reported");
  return found ? { job: found.job, ready: found.ready } : null;
}

function endedAway(stops) {
  const last = Math.max(...stops.map((stop) => stop.ended));
  return stops.some((stop) => stop.ended === last && stop.state === "turned_away");
}

/** A crew that was turned away goes where it is likeliest to start, and nowhere on a guess. */
function goesTo(stops, left) {
  if (!stops.some((stop) => stop.state === "turned_away")) return left[0];
  return (
    left.find((stop) => stop.ready === "seen") || left.find((stop) => stop.ready === "reported")
  );
}

function nextOf(stops) {
  const left = stops.filter((stop) => !hasEnded(stop));
  if (!left.length) return { action: endedAway(stops) ? "ring" : "done", job: null, step: "" };
  const stop = spokenOfLast(left) || goesTo(stops, left);
  if (!stop) return { action: "ring", job: null, step: "" };
  if (stop.state === "to_come") return { action: "set_out", job: stop.job, step: "" };
  if (stop.state === "on_the_way") return { action: "arrived", job: stop.job, step: "" };
  return nextAt(stop);
}

/** plan: stops {job, steps: [kind], checks: [{condition, holds}], ready} in driving order;
    facts: {id, kind, at, job, step, condition, what} in any order, each once. */
export function day(plan, facts) {
  const sorted = facts.map((fact) => ({ ...fact, when: moment(fact.at) })).sort(later);
  const stops = plan.map((planned) =>
    stopOf(
      planned,
      sorted.filter((fact) => fact.job === planned.job),
    ),
  );
  return { stops, next: nextOf(stops) };
}
