"""The plain rule to compare with: earliest promise first, the nearest crew; no solver."""

from __future__ import annotations

from collections.abc import Iterator

from scheduling.planning.check import judge
from scheduling.planning.placing import drive_minutes, placed_steps
from scheduling.planning.plan import Part, Plan, Stop, Visit
from scheduling.planning.problem import Job, Problem, Step


def plain_plan(problem: Problem) -> Plan:
    """Return the plan of one who takes jobs by promise and gives each step, on the first day
    that works, to the crew that drives least for it. Steps too long for a day are left out.
    """
    plan = Plan()
    for job in sorted(problem.jobs, key=lambda job: (job.promised_day, job.id)):
        for step in job.steps:
            grown = next(_ways(problem, plan, job, step), None)
            if grown is None:
                break
            plan = grown
    return plan


def _ways(problem: Problem, plan: Plan, job: Job, step: Step) -> Iterator[Plan]:
    placed = placed_steps(plan)
    position = job.steps.index(step)
    before = placed.get(job.steps[position - 1].id) if position else None
    earliest = before.last_day + step.lag_days if before else 0
    for day in range(earliest, len(problem.days)):
        if step.risk[day] >= 1:
            continue
        ways = [_added(problem, plan, job, step, (crew, day)) for crew in step.minutes]
        for _, way in sorted(ways, key=lambda each: each[0]):
            if all(found.rule == 8 for found in judge(problem, way).violations):
                yield way


def _added(
    problem: Problem, plan: Plan, job: Job, step: Step, at: tuple[str, int]
) -> tuple[int, Plan]:
    """Return how much further the crew drives with the step at its day's end, and the plan."""
    crew, day = at
    visit = next((v for v in plan.visits if (v.crew, v.day) == at), Visit(crew, day, ()))
    part = Part(step.id, step.minutes[crew])
    stops = visit.stops
    if stops and stops[-1].job == job.id:
        stops = (*stops[:-1], Stop(job.id, (*stops[-1].parts, part)))
    else:
        stops = (*stops, Stop(job.id, (part,)))
    grown = Visit(crew, day, stops)
    further = drive_minutes(problem, grown) - drive_minutes(problem, visit)
    return further, Plan((*(v for v in plan.visits if v is not visit), grown))
