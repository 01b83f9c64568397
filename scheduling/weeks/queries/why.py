"""Why a job stands where it does: what it costs, and what other crews and days would cost.

Found by trying each with the planner's own judge, not by guessing; changes nothing.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from contractor.plan_ids import crew_plan_id, job_plan_id, step_plan_id
from scheduling.gather.gathered import Gathered, GatherError, gathered_of
from scheduling.gather.rows import Rows
from scheduling.planning.costs import costs_of
from scheduling.planning.edit.move import steps_put, steps_taken_off
from scheduling.planning.placing import is_known, machine_kinds, placed_steps
from scheduling.planning.plan import Plan
from scheduling.planning.problem import Machine, Problem

MACHINES = 7  # the judge's rule that no more crews take a machine than there are


@dataclass(frozen=True)
class Tried:
    """The same work with another crew, or from another day on.

    `cents` is what the whole plan would cost more (or less); None where `reasons`, the rules
    that are against it, forbid it.
    """

    crew: str
    day: date
    cents: int | None
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True)
class Why:
    """What a job costs as it is planned, in cents by name, and what else was tried."""

    costs: dict[str, int]
    total: int
    crews: tuple[Tried, ...]
    days: tuple[Tried, ...]


def stop_why(
    *,
    rows: Rows,
    job_id: int,
    step_ids: Sequence[int],
    crew_id: int,
) -> Why | None:
    """Explain the steps of a stop, in the plan that counts: the draft where there is one.

    None where the steps are not to be planned any more: done, gone by, or not on that plan.
    `rows` are the weeks as `rows_read` gives them; nothing more is read.
    """
    try:
        gathered = gathered_of(rows)
    except GatherError:
        return None
    placed = placed_steps(gathered.plan)
    steps = [step_plan_id(pk) for pk in step_ids]
    known, job = gathered.problem.place_of_step, job_plan_id(job_id)
    if job not in gathered.problem.job_by_id or not steps:
        return None
    if any(step not in placed or step not in known for step in steps):
        return None
    day = min(placed[step].first_day for step in steps)
    crew = crew_plan_id(crew_id)
    costs = _costs_of_job(gathered.problem, gathered.plan, job)
    return Why(
        costs=costs,
        total=sum(costs.values()),
        crews=tuple(
            _tried(gathered, steps, other.id, day)
            for other in gathered.problem.crews
            if other.id != crew
        ),
        days=tuple(
            _tried(gathered, steps, crew, other)
            for other in range(len(gathered.days))
            if other != day
        ),
    )


def _tried(gathered: Gathered, steps: Sequence[str], crew: str, day: int) -> Tried:
    change = steps_put(*narrowed(gathered.problem, gathered.plan, steps, crew), steps, crew, day)
    if any(found.rule == MACHINES for found in change.new):
        # The narrow problem counts the machines that are left; the reason names all of them.
        change = steps_put(gathered.problem, gathered.plan, steps, crew, day)
    name, on = gathered.names.named(crew), gathered.days[day]
    if change.is_clean:
        return Tried(name, on, change.after.total - change.before.total)
    reasons = dict.fromkeys(gathered.names.sentence(broken.finding) for broken in change.new)
    return Tried(name, on, None, tuple(reasons))


def narrowed(problem: Problem, plan: Plan, steps: Sequence[str], crew: str) -> tuple[Problem, Plan]:
    """Return what bears on giving steps of one job to a crew: its days, and all visits to the job.

    Other visits stay as they are whatever is tried, so that they break and cost the same before
    and after. They keep their machines: those are taken off what is there.
    """
    job_id = problem.place_of_step[steps[0]][0].id
    near = [v for v in plan.visits if v.crew == crew or job_id in {s.job for s in v.stops}]
    kept = set(near)
    taken = Counter(
        (kind, visit.day)
        for visit in plan.visits
        if visit not in kept and is_known(problem, visit)
        for kind in machine_kinds(problem, visit)
    )
    jobs = {job_id, *(stop.job for visit in near for stop in visit.stops)}
    known = {step.id for job in problem.jobs if job.id in jobs for step in job.steps}
    smaller = replace(
        problem,
        jobs=tuple(job for job in problem.jobs if job.id in jobs),
        machines=tuple(_less(machine, taken) for machine in problem.machines),
        fixed=tuple(entry for entry in problem.fixed if entry.step in known),
        posted=tuple(entry for entry in problem.posted if entry.step in known),
    )
    return smaller, Plan(tuple(near))


def _less(machine: Machine, taken: Counter[tuple[str, int]]) -> Machine:
    left = (there - taken[machine.kind, day] for day, there in enumerate(machine.available))
    return replace(machine, available=tuple(left))


def _costs_of_job(problem: Problem, plan: Plan, job_id: str) -> dict[str, int]:
    """What the plan would cost less if the job had never come in, by the names of the costs."""
    job = problem.job_by_id[job_id]
    steps = {step.id for step in job.steps}
    never = replace(
        problem,
        jobs=tuple(other for other in problem.jobs if other.id != job_id),
        posted=tuple(entry for entry in problem.posted if entry.step not in steps),
        fixed=tuple(entry for entry in problem.fixed if entry.step not in steps),
    )
    rest = steps_taken_off(problem, plan, [step.id for step in job.steps]).plan
    with_job, without_job = costs_of(problem, plan), costs_of(never, rest)
    return {name: cents - without_job[name] for name, cents in with_job.items()}
