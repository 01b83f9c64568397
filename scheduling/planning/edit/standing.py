"""What is left of a plan once facts have changed: its clean part; knows no solver."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from scheduling.planning.check import judge
from scheduling.planning.findings import Finding
from scheduling.planning.plan import Plan, Stop, Visit
from scheduling.planning.problem import Problem
from scheduling.planning.rules import Violation


@dataclass(frozen=True)
class Dropped:
    """A step taken out of a plan and the judge's reason for it."""

    step: str
    rule: int
    reason: Finding


def standing_part(problem: Problem, plan: Plan) -> tuple[Plan, list[Dropped]]:
    """Return the part of a plan that is clean under the problem, and what was dropped.

    Steps are dropped one at a time with all later steps of their job (rule 9), always the
    one that leaves the fewest objections and then the most steps, until the judge is content.
    A fixed step that the plan does not hold stays an objection (rule 8): it is listed, too.
    """
    plan = without_steps(plan, ())
    dropped: list[Dropped] = []
    while True:
        open_ones = [v for v in judge(problem, plan).violations if v.steps]
        if not open_ones:
            return plan, dropped + _missing_fixed(problem, plan)
        first = open_ones[0]
        plan, gone = _best_drop(problem, plan, first)
        dropped += [Dropped(step, first.rule, first.finding) for step in gone]


def without_steps(plan: Plan, steps: Iterable[str]) -> Plan:
    """Return the plan without these steps, and without stops and crew-days left empty."""
    gone = set(steps)
    visits = []
    for visit in plan.visits:
        kept = [
            Stop(stop.job, tuple(part for part in stop.parts if part.step not in gone))
            for stop in visit.stops
        ]
        visits.append(Visit(visit.crew, visit.day, tuple(stop for stop in kept if stop.parts)))
    return Plan(tuple(visit for visit in visits if visit.stops))


def _best_drop(problem: Problem, plan: Plan, violation: Violation) -> tuple[Plan, list[str]]:
    choices: list[tuple[int, int, int, Plan, list[str]]] = []
    for step in dict.fromkeys(violation.steps):
        gone = _with_later(problem, plan, step)
        smaller = without_steps(plan, gone)
        left = len(judge(problem, smaller).violations)
        choices.append((left, len(gone), len(choices), smaller, gone))
    best = min(choices, key=lambda choice: choice[:3])
    return best[3], best[4]


def _with_later(problem: Problem, plan: Plan, step: str) -> list[str]:
    held = {part.step for _, _, part in plan.parts()}
    if step not in problem.place_of_step:
        return [step]
    job, i = problem.place_of_step[step]
    return [later.id for later in job.steps[i:] if later.id in held]


def _missing_fixed(problem: Problem, plan: Plan) -> list[Dropped]:
    left = judge(problem, plan).violations
    fixed = [broken.finding for broken in left if broken.rule == 8]
    return [Dropped(found.value("step"), 8, found) for found in fixed]
