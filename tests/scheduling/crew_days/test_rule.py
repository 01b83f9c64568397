"""The script's rule of what comes next says what Python's says, over random days and words."""

import random
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from typing import Any
from urllib.parse import quote

import pytest
from playwright.sync_api import Browser, Page

from scheduling.progress import (
    ActionKind,
    Check,
    DayFact,
    DayPlan,
    DayProgress,
    PlannedStep,
    PlannedStop,
    StopProgress,
    day_progress,
)
from scheduling.progress.day import ANSWERS, KINDS, ReadyHouse
from scheduling.progress.next_stop import next_stop
from tests.browser import ROOT, chromium

__all__ = ["chromium"]
pytestmark = pytest.mark.browser
SCRIPT = ROOT / "scheduling/static/scheduling/crew_days/stand.js"
MODULE = f"data:text/javascript,{quote(SCRIPT.read_text())}"
SEVEN = datetime(2027, 3, 1, 13, 0, tzinfo=UTC)
STEPS = ("air_seal", "baffles", "flat_blow", "batt")
DAYS = 300
ASK = """([script, days]) => import(script).then(rule => days.map(({plan, facts}) => {
  const { stops, next } = rule.day(plan, facts);
  return {
    stops: stops.map(s => [s.job, s.state, s.steps.map(t => [t.kind, t.state]), s.answers]),
    next: [next.action, next.job, next.step],
    after: plan.map(s => rule.nextReady(stops, s.job)).map(to => to && [to.job, to.ready]),
  };
}))"""


@pytest.fixture(scope="module")
def page(chromium: Browser) -> Iterator[Page]:
    page = chromium.new_page()
    yield page
    page.close()


def random_plan(chance: random.Random) -> DayPlan:
    """One to four houses; each with one to three steps, and up to three things to see."""
    stops = []
    for job in chance.sample(range(9, 14), chance.randint(1, 4)):
        kinds = chance.sample(STEPS, chance.randint(1, 3))
        checks = tuple(
            Check(10 * job + number, tuple(chance.sample(kinds, chance.randint(1, len(kinds)))))
            for number in range(chance.randint(0, 3))
        )
        ready = chance.choice(list(ReadyHouse))
        stops.append(PlannedStop(job, tuple(PlannedStep(k, 60) for k in kinds), checks, ready))
    return DayPlan(1, date(2027, 3, 1), tuple(stops))


def random_fact(chance: random.Random, plan: DayPlan, number: int) -> DayFact:
    """Any word about any house, also one that is not of the day; some in the same moment."""
    stop = chance.choice(plan.stops)
    job = chance.choice([stop.job] * 9 + [99])
    kind = chance.choice(KINDS)
    moment = SEVEN + timedelta(minutes=chance.randint(0, 9), microseconds=chance.choice((0, 0, 1)))
    is_of_step = kind in ("started", "finished")
    step = chance.choice([step.kind for step in stop.steps] * 4 + ["batt"]) if is_of_step else ""
    condition = None
    if kind == "checked" and stop.checks:
        condition = chance.choice([check.condition for check in stop.checks])
    what = {"answer": chance.choice([*ANSWERS, "true"])} if kind == "checked" else {}
    return DayFact(
        f"{chance.randint(0, 99):02d}-{number}", kind, moment, job, step, condition, what
    )


def likely_day(chance: random.Random, plan: DayPlan) -> list[DayFact]:
    """What a crew says that does what it is told next, with an odd word here and there."""
    facts: list[DayFact] = []
    for number in range(chance.randint(0, 40)):
        do = day_progress(plan, facts).next_action
        at = SEVEN + timedelta(minutes=number, microseconds=chance.randint(0, 999_999))
        kind = {"start": "started", "finish": "finished", "turn_away": "turned_away"}.get(
            do.action, str(do.action)
        )
        if do.action in ("done", "ring") or chance.random() < 0.1:
            facts.append(random_fact(chance, plan, number))
        elif do.action == "check":
            checks = next(stop.checks for stop in plan.stops if stop.job == do.job)
            check = chance.choice(checks)
            what = {"answer": chance.choice(["true", "true", "we_did_it", "not_true"])}
            facts.append(DayFact(f"{number}", "checked", at, do.job, "", check.condition, what))
        else:
            step = do.step if kind in ("started", "finished") else ""
            facts.append(DayFact(f"{number}", kind, at, do.job, step))
    return facts


def told(plan: DayPlan, facts: list[DayFact], ready: dict[int, ReadyHouse]) -> dict[str, Any]:
    """The same as the page tells it to its script."""
    stops = [
        {
            "job": stop.job,
            "steps": [step.kind for step in stop.steps],
            "checks": [{"condition": c.condition, "holds": list(c.holds)} for c in stop.checks],
            "ready": ready[stop.job],
        }
        for stop in plan.stops
    ]
    said = [
        {
            "id": fact.id,
            "kind": fact.kind,
            "at": fact.at.isoformat(),
            "job": fact.job,
            "step": fact.step,
            "condition": fact.condition,
            "what": dict(fact.what),
        }
        for fact in facts
    ]
    return {"plan": stops, "facts": said}


def state_of_steps(stop: StopProgress) -> list[list[str]]:
    return [
        [s.kind, "finished" if s.is_finished else "working" if s.is_working else "to_come"]
        for s in stop.steps
    ]


def expected(progress: DayProgress, ready: dict[int, ReadyHouse]) -> dict[str, Any]:
    """What Python's rule says, as the script is asked to say it."""
    do = progress.next_action
    after = [next_stop(progress.stops, ready, stop.job) for stop in progress.stops]
    return {
        "stops": [
            [
                stop.job,
                str(stop.state),
                state_of_steps(stop),
                {str(condition): answer for condition, answer in stop.answers.items()},
            ]
            for stop in progress.stops
        ],
        "next": [str(do.action), do.job, do.step],
        "after": [to and [to.job, str(to.ready)] for to in after],
    }


def test_the_script_s_rule_is_python_s_rule(page: Page) -> None:
    chance = random.Random(6)
    asked, wanted, actions = [], [], set()
    for number in range(DAYS):
        plan = random_plan(chance)
        ready = {stop.job: stop.ready for stop in plan.stops}
        if number % 2:
            facts = likely_day(chance, plan)
        else:
            facts = [random_fact(chance, plan, n) for n in range(chance.randint(0, 30))]
        progress = day_progress(plan, facts)
        actions.add(str(progress.next_action.action))
        wanted.append(expected(progress, ready))
        chance.shuffle(facts)
        asked.append(told(plan, facts, ready))
    got = page.evaluate(ASK, [MODULE, asked])
    for number, (script, python) in enumerate(zip(got, wanted, strict=True)):
        assert script == python, asked[number]
    assert actions == {str(action) for action in ActionKind}
