"""Why a job is left out or late: what keeps each of its steps off each day; no solver."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from scheduling.planning.check import judge
from scheduling.planning.edit.standing import without_steps
from scheduling.planning.findings import (
    Code,
    Finding,
    PlainWords,
    finding,
    finding_to_json,
    worded,
)
from scheduling.planning.placing import placed_steps
from scheduling.planning.plan import Part, Plan, Stop, Visit
from scheduling.planning.problem import Job, Problem, Step


@dataclass(frozen=True)
class Obstacle:
    """What keeps a step off a day: a reason that holds for every crew, or for `crew` alone."""

    step: str
    day: int
    crew: str | None
    rule: int
    reason: Finding


def holdup(problem: Problem, plan: Plan, job_id: str) -> list[Obstacle]:
    """Return for the first step of a job that is left out, or the first of all where none is,
    what keeps it off each day, the rest of the plan as it is.

    A day on which nothing keeps the step away has no entry: there it is dearer, not forbidden.
    Raises KeyError where there is no such job.
    """
    job = problem.job_by_id[job_id]
    placed = placed_steps(plan)
    step = next((each for each in job.steps if each.id not in placed), job.steps[0])
    later = [each.id for each in job.steps[job.steps.index(step) :]]
    without = without_steps(plan, later)
    return [
        obstacle
        for day in range(len(problem.days))
        for obstacle in _day_obstacles(problem, without, job, step, day)
    ]


def obstacles_to_json(obstacles: Iterable[Obstacle], days: Sequence[str]) -> list[dict[str, Any]]:
    """Return obstacles as plain values; `days` are the problem's, by which texts name them."""
    wording = PlainWords(days)
    return [
        {"step": one.step, "day": one.day, "crew": one.crew, "rule": one.rule}
        | {"text": worded(one.reason, wording)}
        | finding_to_json(one.reason)
        for one in obstacles
    ]


def _day_obstacles(
    problem: Problem, plan: Plan, job: Job, step: Step, day: int
) -> Iterator[Obstacle]:
    if step.risk[day] >= 1:
        closed = finding(Code.CANNOT_START, step=step.id, day=day)
        yield Obstacle(step.id, day, None, 6, closed)
        return
    if not step.minutes:
        yield Obstacle(step.id, day, None, 3, finding(Code.NOBODY_ABLE, step=step.id))
        return
    found = [_crew_obstacle(problem, plan, job, step, (crew, day)) for crew in step.minutes]
    if all(found):
        yield from (obstacle for obstacle in found if obstacle is not None)


def _crew_obstacle(
    problem: Problem, plan: Plan, job: Job, step: Step, at: tuple[str, int]
) -> Obstacle | None:
    """Return what the judge says to the whole step on a crew's day, None where it may stand."""
    crew, day = at
    tried = [_with_stop(plan, job, step, (crew, day, x)) for x in range(problem.max_stops)]
    judged = [judge(problem, each).violations for each in tried]
    objections = [[found for found in each if found.rule != 8] for each in judged]
    if not all(objections):
        return None
    first = min(objections, key=len)[0]
    return Obstacle(step.id, day, crew, first.rule, first.finding)


def _with_stop(plan: Plan, job: Job, step: Step, at: tuple[str, int, int]) -> Plan:
    """Return the plan with the step as a part of a stop, or as stop number `x` of the day."""
    crew, day, x = at
    part = Part(step.id, step.minutes[crew])
    visit = next((v for v in plan.visits if (v.crew, v.day) == (crew, day)), Visit(crew, day, ()))
    stops = list(visit.stops)
    here = next((i for i, stop in enumerate(stops) if stop.job == job.id), None)
    if here is None:
        stops.insert(x, Stop(job.id, (part,)))
    else:
        stops[here] = Stop(job.id, (*stops[here].parts, part))
    others = tuple(v for v in plan.visits if v is not visit)
    return Plan((*others, Visit(crew, day, tuple(stops))))
