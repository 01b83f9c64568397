"""Turns a draft into a plan and a plan into a draft; knows no strategy and no rule."""

from __future__ import annotations

from scheduling.planning.columns.model import NEVER, Model, Run, Stay
from scheduling.planning.placing import PlacedStep, placed_steps
from scheduling.planning.plan import Part, Plan, Stop, Visit
from scheduling.planning.search.draft import Arc, Draft


def plan_of(draft: Draft) -> Plan:
    """Return the plan that a draft of named crews stands for."""
    problem = draft.model.problem
    visits = []
    for crew in range(len(problem.crews)):
        for day in range(draft.model.days):
            entries = draft.stops[crew * draft.model.days + day]
            stops = tuple(
                Stop(problem.jobs[e.job].id, _parts(draft.model, e.job, e.parts)) for e in entries
            )
            if stops:
                visits.append(Visit(problem.crews[crew].id, day, stops))
    return Plan(tuple(sorted(visits, key=lambda visit: (visit.day, visit.crew))))


def arcs_of(model: Model, stays: list[Stay], plan: Plan, j: int) -> tuple[Arc, ...] | None:
    """Return the arcs by which a clean plan does job `j`, None where no arc is like it.

    `model` has named crews; `stays` are those of the job.
    """
    job = model.problem.jobs[j]
    placed = placed_steps(plan)
    arcs: list[Arc] = []
    first = 0
    while first < len(job.steps) and job.steps[first].id in placed:
        until = _group_end(model, j, placed, first)
        arc = _arc(model, stays, placed, (j, first, until))
        if arc is None:
            return None
        arcs.append(arc)
        first = until
    return tuple(arcs)


def _parts(model: Model, j: int, parts: tuple[tuple[int, int], ...]) -> tuple[Part, ...]:
    steps = model.problem.jobs[j].steps
    return tuple(Part(steps[i].id, minutes) for i, minutes in parts)


def _group_end(model: Model, j: int, placed: dict[str, PlacedStep], first: int) -> int:
    """Return the position after the last step that starts on the day on which one before ends."""
    steps = model.problem.jobs[j].steps
    until = first + 1
    while (
        until < len(steps)
        and steps[until].id in placed
        and placed[steps[until].id].first_day == placed[steps[until - 1].id].last_day
    ):
        until += 1
    return until


def _arc(
    model: Model, stays: list[Stay], placed: dict[str, PlacedStep], group: tuple[int, int, int]
) -> Arc | None:
    """Return the arc of steps `group` = (job, first, until), None where none is like it."""
    j, first, until = group
    steps = model.problem.jobs[j].steps
    names = [crew.id for crew in model.problem.crews]
    crew = names.index(placed[steps[first].id].crew)
    start, end = placed[steps[first].id].first_day, placed[steps[until - 1].id].last_day
    if start == end:
        run = _run(model.runs[j], first, until)
        fits = run is not None and run.cost[crew, start] < NEVER
        return Arc(crew, start, run) if run is not None and fits else None
    wanted = {
        (i, part.visit.day): part.minutes
        for i in range(first, until)
        for part in placed[steps[i].id].parts
    }
    for stay in stays:
        if (stay.kind, stay.first, stay.until) == (crew, first, until) and _same(stay, wanted):
            return Arc(crew, start, stay)
    return None


def _run(runs: list[Run], first: int, until: int) -> Run | None:
    return next((run for run in runs if (run.first, run.until) == (first, until)), None)


def _same(stay: Stay, wanted: dict[tuple[int, int], int]) -> bool:
    found = {
        (i, day): minutes
        for day, parts in zip(stay.days, stay.parts, strict=True)
        for i, minutes in parts
    }
    return found == wanted
