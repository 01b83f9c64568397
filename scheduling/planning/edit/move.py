"""Changes of a plan by hand: take steps out, put steps in; knows no solver and no Django."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import permutations

from scheduling.planning.check import Judgement, judge
from scheduling.planning.edit.standing import without_steps
from scheduling.planning.findings import Code, finding
from scheduling.planning.placing import drive_minutes, placed_steps
from scheduling.planning.plan import Part, Plan, Stop, Visit
from scheduling.planning.problem import Crew, Job, Problem, Step
from scheduling.planning.rules import Violation

# How many half-finished plans are followed up at a time, the cheapest first.
BEAM = 4


@dataclass(frozen=True)
class PlanEdit:
    """What a change by hand would give: the plan and its judgement before and after.

    `new` are the objections that the change would bring; there is nothing to save where there
    are any, and `plan` is then the attempt that they speak of.
    """

    plan: Plan
    before: Judgement
    after: Judgement
    new: tuple[Violation, ...]

    @property
    def is_clean(self) -> bool:
        """Whether the change breaks no rule that was kept before."""
        return not self.new


def steps_taken_off(problem: Problem, plan: Plan, steps: Sequence[str]) -> PlanEdit:
    """Take the steps and all later steps of their jobs off the plan (rule 9 asks for these)."""
    held = set(placed_steps(plan))
    gone = {later for step in steps for later in [step, *_later(problem, step)] if later in held}
    return _change(problem, plan, _without(problem, plan, tuple(gone)))


def steps_put(problem: Problem, plan: Plan, steps: Sequence[str], crew: str, day: int) -> PlanEdit:
    """Place steps of one job, given in order, with one crew: the first exactly on `day`.

    Steps that the plan holds are taken out first. Each further step follows on the first day
    that its lag and the crew's days leave room for. A step that does not fit a day whole is
    divided as rule 3 allows. Among the ways that break no new rule the cheapest is taken.
    """
    bare = _without(problem, plan, steps)
    before = judge(problem, plan)
    known = set(before.violations)
    attempts = [bare]
    for number, step in enumerate(steps):
        tried = [
            change
            for attempt in attempts
            for change in _ways(problem, attempt, step, crew, known, asked=None if number else day)
        ]
        clean = [change for change in tried if change.is_clean]
        if not clean:
            return _refusal(problem, plan, tried, bare, steps)
        attempts = [change.plan for change in sorted(clean, key=_total)[:BEAM]]
    return _change(problem, plan, attempts[0])


def _without(problem: Problem, plan: Plan, steps: Sequence[str]) -> Plan:
    """Take steps out and put the crew-days that lost a stop into their shortest order."""
    stops_before = {(visit.crew, visit.day): len(visit.stops) for visit in plan.visits}
    left = without_steps(plan, steps).visits
    return Plan(
        tuple(
            _ordered(problem, visit)
            if len(visit.stops) < stops_before[visit.crew, visit.day]
            else visit
            for visit in left
        )
    )


def best_order(problem: Problem, visit: Visit) -> Visit:
    """Return the crew-day with its stops in the order of the shortest drive."""
    orders = (replace(visit, stops=stops) for stops in permutations(visit.stops))
    return min(orders, key=lambda order: drive_minutes(problem, order))


def room_for_whole_days(problem: Problem, crew: Crew, job: Job, day: int) -> int:
    """Return the minutes of work that a crew's day holds when it goes to this job alone."""
    alone = Visit(crew.id, day, (Stop(job.id, ()),))
    return crew.minutes[day] - job.setup_minutes - drive_minutes(problem, alone)


def divisions(problem: Problem, crew: Crew, step: str, day: int) -> Iterator[list[tuple[int, int]]]:
    """Yield the ways to do a step from a day on, each as (day, minutes): whole, or divided.

    A division is whole days and a rest before or after them; where the rest would fall under the
    shortest part, it has exactly that and the last whole day falls short. Whether the days are
    free is the judge's to say.
    """
    job, position = problem.place_of_step[step]
    needed = job.steps[position].minutes[crew.id]
    yield [(day, needed)]
    working = [d for d in range(day, len(problem.days)) if crew.minutes[d] > 0]
    if working[:1] != [day]:
        return
    room = {d: room_for_whole_days(problem, crew, job, d) for d in working}
    for count in range(1, len(working)):
        first_whole, last_whole = working[:count], working[1 : count + 1]
        yield from _divided(problem, needed, [(d, room[d]) for d in first_whole], working[count])
        for parts in _divided(problem, needed, [(d, room[d]) for d in last_whole], day):
            yield sorted(parts)


def _divided(
    problem: Problem, needed: int, whole: list[tuple[int, int]], rest_day: int
) -> Iterator[list[tuple[int, int]]]:
    least = problem.min_part_minutes
    rest = needed - sum(minutes for _, minutes in whole)
    short = max(0, least - rest)
    last_day, last_minutes = whole[-1]
    whole = [*whole[:-1], (last_day, last_minutes - short)]
    if rest > 0 and all(minutes >= least for _, minutes in whole):
        yield [*whole, (rest_day, rest + short)]


def _total(change: PlanEdit) -> int:
    return change.after.total


def _ways(
    problem: Problem,
    plan: Plan,
    step: str,
    crew: str,
    known: set[Violation],
    *,
    asked: int | None,
) -> list[PlanEdit]:
    """All ways to place a step on the day asked for, or on the first day that has a clean one."""
    job, position = problem.place_of_step[step]
    if crew not in job.steps[position].minutes:
        nowhere = _with_parts(problem, plan, step, crew, [(asked or 0, 1)])
        return [_judged(problem, nowhere, known)]
    tried: list[PlanEdit] = []
    for day in [asked] if asked is not None else _days_after(problem, plan, job, position):
        found = [
            _judged(problem, _with_parts(problem, plan, step, crew, parts), known)
            for parts in divisions(problem, problem.crew_by_id[crew], step, day)
        ]
        tried += found
        if any(change.is_clean for change in found):
            break
    return tried


def _days_after(problem: Problem, plan: Plan, job: Job, position: int) -> range:
    """The days on which the step before lets this one start."""
    before = placed_steps(plan).get(job.steps[position - 1].id) if position else None
    start = before.last_day + job.steps[position].lag_days if before else 0
    return range(start, len(problem.days))


def _with_parts(
    problem: Problem, plan: Plan, step: str, crew: str, parts: list[tuple[int, int]]
) -> Plan:
    for day, minutes in parts:
        plan = _with_part(problem, plan, crew, day, Part(step, minutes))
    return plan


def _with_part(problem: Problem, plan: Plan, crew: str, day: int, part: Part) -> Plan:
    job, _ = problem.place_of_step[part.step]
    others = [visit for visit in plan.visits if (visit.crew, visit.day) != (crew, day)]
    visit = _visit_of(plan, crew, day)
    stops = {stop.job: stop for stop in visit.stops}
    there = stops[job.id].parts if job.id in stops else ()
    stops[job.id] = Stop(job.id, _in_order(job, (*there, part)))
    visit = replace(visit, stops=tuple(stops.values()))
    if job.id not in {stop.job for stop in _visit_of(plan, crew, day).stops}:
        visit = _ordered(problem, visit)
    return Plan((*others, visit))


def _ordered(problem: Problem, visit: Visit) -> Visit:
    """A crew-day too full of stops for its rule keeps its order: it is refused anyway."""
    all_known = all(stop.job in problem.job_by_id for stop in visit.stops)
    is_small = len(visit.stops) <= problem.max_stops
    return best_order(problem, visit) if all_known and is_small else visit


def _visit_of(plan: Plan, crew: str, day: int) -> Visit:
    found = (visit for visit in plan.visits if (visit.crew, visit.day) == (crew, day))
    return next(found, Visit(crew, day, ()))


def _in_order(job: Job, parts: tuple[Part, ...]) -> tuple[Part, ...]:
    position = {step.id: number for number, step in enumerate(job.steps)}
    return tuple(sorted(parts, key=lambda part: position.get(part.step, -1)))


def _later(problem: Problem, step: str) -> list[str]:
    if step not in problem.place_of_step:
        return []
    job, position = problem.place_of_step[step]
    later: tuple[Step, ...] = job.steps[position + 1 :]
    return [following.id for following in later]


def _judged(problem: Problem, plan: Plan, known: set[Violation]) -> PlanEdit:
    after = judge(problem, plan)
    new = tuple(found for found in after.violations if found not in known)
    return PlanEdit(plan, after, after, new)


def _change(problem: Problem, before: Plan, after: Plan) -> PlanEdit:
    was = judge(problem, before)
    change = _judged(problem, after, set(was.violations))
    return replace(change, before=was)


def _refusal(
    problem: Problem, plan: Plan, tried: list[PlanEdit], bare: Plan, steps: Sequence[str]
) -> PlanEdit:
    """The attempt with the fewest objections, so that the reason given is the one that binds."""
    was = judge(problem, plan)
    if tried:
        nearest = min(tried, key=lambda result: len(result.new))
        return replace(nearest, before=was)
    missing = Violation(9, finding(Code.NO_DAY_AFTER, step=steps[-1]), tuple(steps))
    return PlanEdit(bare, was, judge(problem, bare), (missing,))
