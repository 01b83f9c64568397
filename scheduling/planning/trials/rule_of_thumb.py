"""The plain rule to compare with: earliest promise first, the nearest crew; no solver."""

from __future__ import annotations

from collections.abc import Iterator

from scheduling.planning.placing import drive_minutes, placed_steps, used_minutes
from scheduling.planning.plan import Part, Plan, Stop, Visit
from scheduling.planning.problem import Job, Problem, Step
from scheduling.planning.rules import violations_of


def plain_plan(problem: Problem) -> Plan:
    """Return the plan of one who takes jobs by promise and gives each step, on the first day
    that works, to the crew that drives least for it. A step too long for a day gets whole days
    and a rest.
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
        ways = [
            _grown(problem, plan, job, crew, parts)
            for crew in step.minutes
            if (parts := _parts(problem, job, step, crew, day))
        ]
        for _, way in sorted((way for way in ways if way), key=lambda each: each[0]):
            if all(found.rule == 8 for found in violations_of(problem, way)):
                yield way


def _parts(problem: Problem, job: Job, step: Step, crew_id: str, first: int) -> dict[int, Part]:
    """Return the parts by day of a step that a crew begins on a day of nothing else: one, or
    whole days and a rest. Empty where the crew cannot.
    """
    crew = problem.crew_by_id[crew_id]
    back = job.setup_minutes + problem.drive(job.place, crew.home)
    apart = [back + problem.drive(crew.start_on(d), job.place) for d in range(len(problem.days))]
    left = step.minutes[crew_id]
    if not crew.minutes[first]:
        return {}
    if left + apart[first] <= crew.minutes[first] + crew.overtime[first]:
        return {first: Part(step.id, left)}
    minutes: dict[int, int] = {}
    for day in range(first, len(problem.days)):
        work = min(left, crew.minutes[day] - apart[day])
        if work > 0:
            minutes[day] = work
            left -= work
    if left or len(minutes) < 2:
        return {}
    *_, before, last = minutes
    lacking = max(0, problem.min_part_minutes - minutes[last])
    minutes |= {before: minutes[before] - lacking, last: minutes[last] + lacking}
    return {day: Part(step.id, each) for day, each in minutes.items()}


def _grown(
    problem: Problem, plan: Plan, job: Job, crew: str, parts: dict[int, Part]
) -> tuple[int, Plan] | None:
    """Return how much further the crew drives with the parts at its days' ends, and the plan;
    None where there is no room (to ask first spares most calls of the judge).
    """
    further = 0
    for day, part in parts.items():
        visit = next((v for v in plan.visits if (v.crew, v.day) == (crew, day)), None)
        visit = visit or Visit(crew, day, ())
        grown = _with_part(visit, job, part)
        if not _has_room(problem, grown):
            return None
        further += drive_minutes(problem, grown) - drive_minutes(problem, visit)
        plan = Plan((*(v for v in plan.visits if v is not visit), grown))
    return further, plan


def _has_room(problem: Problem, visit: Visit) -> bool:
    crew, day = problem.crew_by_id[visit.crew], visit.day
    most = crew.minutes[day] + crew.overtime[day]
    return len(visit.stops) <= problem.max_stops and used_minutes(problem, visit) <= most


def _with_part(visit: Visit, job: Job, part: Part) -> Visit:
    stops = visit.stops
    if stops and stops[-1].job == job.id:
        stops = (*stops[:-1], Stop(job.id, (*stops[-1].parts, part)))
    else:
        stops = (*stops, Stop(job.id, (part,)))
    return Visit(visit.crew, visit.day, stops)
