"""The nine rules of a plan, one function each; knows no cost and no solver."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from scheduling.planning.findings import Code, Finding, Value, finding
from scheduling.planning.placing import (
    PlacedPart,
    PlacedStep,
    is_known,
    machine_kinds,
    placed_steps,
    used_minutes,
)
from scheduling.planning.plan import Plan, Stop, Visit
from scheduling.planning.problem import Assignment, Job, Problem, Step


@dataclass(frozen=True)
class Violation:
    """A rule that is broken, and how; `steps` are those that may be at fault."""

    rule: int
    finding: Finding
    steps: tuple[str, ...] = field(default=(), compare=False)


@dataclass(frozen=True)
class Case:
    """A plan held against a problem, with where each step stands."""

    problem: Problem
    plan: Plan
    placed: dict[str, PlacedStep]

    @classmethod
    def of(cls, problem: Problem, plan: Plan) -> Case:
        """Return the case of this plan under this problem."""
        return cls(problem, plan, placed_steps(plan))

    def known_visits(self) -> Iterator[Visit]:
        """Yield the crew-days whose names all exist."""
        return (visit for visit in self.plan.visits if is_known(self.problem, visit))

    def placed_in_order(self) -> Iterator[tuple[Job, int, Step]]:
        """Yield every placed step with its job and position."""
        for job in self.problem.jobs:
            for i, step in enumerate(job.steps):
                if step.id in self.placed:
                    yield job, i, step


def violations_of(problem: Problem, plan: Plan) -> list[Violation]:
    """Return all that the plan breaks, by rule, in the order of the rules."""
    case = Case.of(problem, plan)
    return [violation for rule in RULES.values() for violation in rule(case)]


def crew_days(case: Case) -> Iterator[Violation]:
    """Rule 1: one crew-day per crew and day, off days empty, few stops, no job twice."""
    for (crew, day), count in Counter((v.crew, v.day) for v in case.plan.visits).items():
        if count > 1:
            steps = [v for v in case.plan.visits if (v.crew, v.day) == (crew, day)]
            yield _at(1, steps, finding(Code.TWO_CREW_DAYS, crew=crew, count=count, day=day))
    for visit in case.plan.visits:
        for found in _crew_day_faults(case.problem, visit):
            yield _at(1, [visit], found)


def _crew_day_faults(problem: Problem, visit: Visit) -> Iterator[Finding]:
    name, day, stops = visit.crew, visit.day, len(visit.stops)
    crew = problem.crew_by_id.get(name)
    if crew is None:
        yield finding(Code.NO_SUCH_CREW, crew=name)
    elif day >= len(problem.days):
        yield finding(Code.NO_SUCH_DAY, day=day, count=len(problem.days))
    elif crew.minutes[day] == 0:
        yield finding(Code.CREW_OFF, crew=name, day=day)
    if stops > problem.max_stops:
        yield finding(Code.TOO_MANY_STOPS, crew=name, count=stops, day=day, most=problem.max_stops)
    for job, count in Counter(stop.job for stop in visit.stops).items():
        if count > 1:
            yield finding(Code.JOB_TWICE, crew=name, job=job, count=count, day=day)
        if job not in problem.job_by_id:
            yield finding(Code.NO_SUCH_JOB, job=job)


def hours(case: Case) -> Iterator[Violation]:
    """Rule 2: work, set-ups and drive fit the crew's day with its overtime."""
    for visit in case.known_visits():
        crew = case.problem.crew_by_id[visit.crew]
        most = crew.minutes[visit.day] + crew.overtime[visit.day]
        used = used_minutes(case.problem, visit)
        if used > most:
            at: dict[str, Value] = {"crew": visit.crew, "day": visit.day}
            long = finding(Code.DAY_TOO_LONG, **at, minutes=used, most_minutes=most)
            yield _at(2, [visit], long)


def whole_steps(case: Case) -> Iterator[Violation]:
    """Rule 3: a step by one able crew, complete, divided only as whole days and a rest."""
    for visit, stop, part in case.plan.parts():
        home = case.problem.place_of_step.get(part.step)
        if home is None:
            yield _of(3, part.step, Code.NO_SUCH_STEP)
        elif home[0].id != stop.job:
            yield _of(3, part.step, Code.STEP_ELSEWHERE, job=stop.job, crew=visit.crew)
    for _, _, step in case.placed_in_order():
        yield from _step_faults(case, step, case.placed[step.id])


def _step_faults(case: Case, step: Step, placed: PlacedStep) -> Iterator[Violation]:
    crews = tuple(sorted({part.visit.crew for part in placed.parts}))
    if len(crews) > 1:
        yield _of(3, step.id, Code.MANY_CREWS_AT_STEP, crews=crews)
        return
    needed = step.minutes.get(placed.crew)
    if needed is None:
        yield _of(3, step.id, Code.NOT_ABLE, crew=placed.crew)
        return
    done = sum(part.minutes for part in placed.parts)
    if done != needed:
        minutes: dict[str, Value] = {"minutes": done, "needed_minutes": needed}
        yield _of(3, step.id, Code.WRONG_MINUTES, crew=placed.crew, **minutes)
    if len(set(placed.days)) < len(placed.days):
        yield _of(3, step.id, Code.TWO_PARTS_A_DAY)
    elif len(placed.parts) > 1 and all(is_known(case.problem, p.visit) for p in placed.parts):
        yield from _division_faults(case, step, placed)


def _division_faults(case: Case, step: Step, placed: PlacedStep) -> Iterator[Violation]:
    least = case.problem.min_part_minutes
    if any(part.minutes < least for part in placed.parts):
        yield _of(3, step.id, Code.PART_TOO_SHORT, least_minutes=least)
    minutes = case.problem.crew_by_id[placed.crew].minutes
    between = range(placed.first_day, placed.last_day + 1)
    if [day for day in between if minutes[day] > 0] != list(placed.days):
        yield _of(3, step.id, Code.DAYS_APART, crew=placed.crew)
    first_is_rest = _whole_but(case, placed.parts[1:], placed.parts[0])
    last_is_rest = _whole_but(case, placed.parts[:-1], placed.parts[-1])
    if not first_is_rest and not last_is_rest:
        yield _of(3, step.id, Code.BADLY_DIVIDED)


def _whole_but(case: Case, whole: Sequence[PlacedPart], rest: PlacedPart) -> bool:
    least = case.problem.min_part_minutes
    missing = [_missing_minutes(case, part.visit) for part in whole]
    short = [minutes for minutes in missing if minutes != 0]
    if any(len(part.visit.stops) != 1 for part in whole):
        return False
    return not short or (len(short) == 1 and 0 < short[0] < least and rest.minutes == least)


def _missing_minutes(case: Case, visit: Visit) -> int:
    crew = case.problem.crew_by_id[visit.crew]
    return crew.minutes[visit.day] - used_minutes(case.problem, visit)


def order(case: Case) -> Iterator[Violation]:
    """Rule 4: steps of a job go in order, with their lags; one crew where they share a day."""
    for job, i, step in case.placed_in_order():
        before = case.placed.get(job.steps[i - 1].id) if i else None
        if before is not None:
            yield from _order_faults(case, job.steps[i - 1], before, step)
    for visit in case.known_visits():
        for stop in visit.stops:
            if not _in_order(case.problem, stop):
                steps = tuple(part.step for part in stop.parts)
                yield Violation(4, finding(Code.OUT_OF_ORDER, job=stop.job), steps)


def _order_faults(case: Case, earlier: Step, before: PlacedStep, step: Step) -> Iterator[Violation]:
    after = case.placed[step.id]
    ready, both = before.last_day + step.lag_days, {"step": step.id, "before": earlier.id}
    if after.first_day < ready:
        found = finding(Code.TOO_SOON, **both, day=after.first_day, from_day=ready)
        yield Violation(4, found, (step.id, earlier.id))
    elif after.first_day == before.last_day and after.crew != before.crew:
        yield Violation(4, finding(Code.OTHER_CREW_BEFORE, **both), (step.id, earlier.id))


def _in_order(problem: Problem, stop: Stop) -> bool:
    known = [part.step for part in stop.parts if part.step in problem.place_of_step]
    positions = [problem.place_of_step[step][1] for step in known]
    return positions == sorted(positions)


def one_crew(case: Case) -> Iterator[Violation]:
    """Rule 5: at most one crew at a job per day."""
    found: defaultdict[tuple[str, int], list[Visit]] = defaultdict(list)
    for visit in case.plan.visits:
        for job in {stop.job for stop in visit.stops}:
            found[job, visit.day].append(visit)
    for (job, day), visits in found.items():
        crews = tuple(sorted({visit.crew for visit in visits}))
        if len(crews) > 1:
            steps = tuple(part for visit in visits for part in _steps(visit, job))
            there = finding(Code.MANY_CREWS_AT_JOB, crews=crews, job=job, day=day)
            yield Violation(5, there, steps)


def closed_days(case: Case) -> Iterator[Violation]:
    """Rule 6: no step starts on a day whose risk is 1, nor where its crew's day is barred."""
    barred = set(case.problem.barred)
    for _, _, step in case.placed_in_order():
        placed = case.placed[step.id]
        day = placed.first_day
        if day < len(case.problem.days) and step.risk[day] >= 1:
            yield _of(6, step.id, Code.CANNOT_START, day=day)
        elif Assignment(step.id, placed.crew, day) in barred:
            yield _of(6, step.id, Code.CREW_CANNOT_START, crew=placed.crew, day=day)


def fault_alone(problem: Problem, entry: Assignment) -> Finding | None:
    """Return what keeps a step off a crew's day whatever else is planned; None where nothing does.

    Rules 3, 1 and 6, looked at in this order.
    """
    job, position = problem.place_of_step[entry.step]
    step, crew = job.steps[position], problem.crew_by_id[entry.crew]
    if entry.crew not in step.minutes:
        return finding(Code.NOT_ABLE, crew=entry.crew, step=entry.step)
    if crew.minutes[entry.day] == 0:
        return finding(Code.CREW_OFF, crew=entry.crew, day=entry.day)
    if step.risk[entry.day] >= 1:
        return finding(Code.CANNOT_START, step=entry.step, day=entry.day)
    return None


def machines(case: Case) -> Iterator[Violation]:
    """Rule 7: no more crew-days with a kind of machine than there are machines."""
    users: defaultdict[tuple[str, int], list[Visit]] = defaultdict(list)
    for visit in case.known_visits():
        for kind in machine_kinds(case.problem, visit):
            users[kind, visit.day].append(visit)
    for machine in case.problem.machines:
        for day, available in enumerate(machine.available):
            using = users[machine.kind, day]
            if len(using) > available:
                few = machines_short(machine.kind, day, len(using), available)
                yield Violation(7, few, _machine_steps(case, using, machine.kind))


def machines_short(kind: str, day: int, count: int, there: int) -> Finding:
    """Return that more crew-days need a kind of machine than there are machines."""
    return finding(Code.TOO_FEW_MACHINES, machine=kind, day=day, count=count, there=there)


def _machine_steps(case: Case, visits: list[Visit], kind: str) -> tuple[str, ...]:
    homes = case.problem.place_of_step
    found = [s for v in visits for s in _steps(v) if s in homes]
    return tuple(s for s in found if homes[s][0].steps[homes[s][1]].machine == kind)


def fixed_steps(case: Case) -> Iterator[Violation]:
    """Rule 8: fixed steps start on their day with their crew."""
    for entry in case.problem.fixed:
        placed = case.placed.get(entry.step)
        wanted: dict[str, Value] = {"crew": entry.crew, "day": entry.day}
        if placed is None:
            left_out = finding(Code.FIXED_LEFT_OUT, step=entry.step, **wanted)
            yield Violation(8, left_out)
        elif (placed.crew, placed.first_day) != (entry.crew, entry.day):
            found: dict[str, Value] = {"other_crew": placed.crew, "other_day": placed.first_day}
            yield _of(8, entry.step, Code.FIXED_ELSEWHERE, **wanted, **found)


def no_gaps(case: Case) -> Iterator[Violation]:
    """Rule 9: a step is placed only if all before it are."""
    for job, i, step in case.placed_in_order():
        missing = [before.id for before in job.steps[:i] if before.id not in case.placed]
        if missing:
            yield _of(9, step.id, Code.GAP_BEFORE, before=missing[0])


RULES: dict[int, Callable[[Case], Iterator[Violation]]] = {
    1: crew_days,
    2: hours,
    3: whole_steps,
    4: order,
    5: one_crew,
    6: closed_days,
    7: machines,
    8: fixed_steps,
    9: no_gaps,
}


def _steps(visit: Visit, job: str | None = None) -> tuple[str, ...]:
    stops = [stop for stop in visit.stops if job in (None, stop.job)]
    return tuple(part.step for stop in stops for part in stop.parts)


def _of(rule: int, step: str, code: Code, **values: Value) -> Violation:
    return Violation(rule, finding(code, step=step, **values), (step,))


def _at(rule: int, visits: list[Visit], found: Finding) -> Violation:
    return Violation(rule, found, tuple(step for visit in visits for step in _steps(visit)))
