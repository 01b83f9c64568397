"""Puts into a draft what of the posted week can stay as it is; knows no search."""

from __future__ import annotations

from scheduling.planning.columns.model import NEVER
from scheduling.planning.search.draft import Arc, Draft


def put_posted(draft: Draft) -> None:
    """Add every job that is not there yet and fits just as it was posted."""
    problem = draft.model.problem
    posted = {entry.step: entry for entry in problem.posted}
    crew_of = {crew.id: i for i, crew in enumerate(problem.crews)}
    for j, job in enumerate(problem.jobs):
        wanted = [posted[step.id] for step in job.steps if step.id in posted]
        if draft.arcs[j] or len(wanted) < len(job.steps):
            continue
        if all(entry.crew in crew_of for entry in wanted):
            _put_job(draft, j, [(crew_of[entry.crew], entry.day) for entry in wanted])


def _put_job(draft: Draft, j: int, wanted: list[tuple[int, int]]) -> None:
    """Add a job whose steps start with these crews on these days, or leave it out whole."""
    arcs: list[Arc] = []
    ready = 0
    while not arcs or arcs[-1].until < len(wanted):
        first = arcs[-1].until if arcs else 0
        arc = _next(draft, j, first, wanted)
        if arc is None or arc.day < ready:
            draft.remove(j)
            return
        arcs.append(arc)
        draft.remove(j)
        draft.put(j, tuple(arcs))
        if arc.until < len(wanted):
            ready = draft.model.ready_after(j, arc.until, arc.days[-1])


def _next(draft: Draft, j: int, first: int, wanted: list[tuple[int, int]]) -> Arc | None:
    """Return the longest run from a step on as it is wanted, else the longest such stay."""
    table, setup = draft.tables[j], draft.model.problem.jobs[j].setup_minutes
    detour = draft.detour(draft.model.place[j])
    crew, day = wanted[first]
    runs = [run for run in table.runs if run.first == first]
    for run in sorted(runs, key=lambda run: -run.until):
        cost = run.cost + draft.marginal(detour, run.minutes[:, None] + setup, run.machines)
        same = all(each == (crew, day) for each in wanted[first : run.until])
        if same and cost[crew, day] < NEVER:
            return Arc(crew, day, run)
    costs = draft.stay_costs(table, j, detour)
    fitting = [
        stay
        for stay, cost in zip(table.stays, costs.tolist(), strict=True)
        if cost < NEVER and (stay.first, stay.kind, stay.days[0]) == (first, crew, day)
    ]
    for stay in sorted(fitting, key=lambda stay: -stay.until):
        starts = [
            next(d for d, parts in zip(stay.days, stay.parts, strict=True) if i in dict(parts))
            for i in range(first, stay.until)
        ]
        if wanted[first : stay.until] == [(crew, start) for start in starts]:
            return Arc(crew, day, stay)
    return None
