"""The nine rules of a plan, one function each; knows no cost and no solver."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

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
    """A rule that is broken, where, and in words; `steps` are those that may be at fault."""

    rule: int
    where: str
    text: str
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

    def day(self, day: int) -> str:
        """Return the date of a day, or its number where there is none."""
        days = self.problem.days
        return days[day] if 0 <= day < len(days) else f"day {day}"

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
            yield _at(case, 1, steps, f"{crew} has {count} crew-days on {case.day(day)}")
    for visit in case.plan.visits:
        for text in _crew_day_faults(case, visit):
            yield _at(case, 1, [visit], text)


def _crew_day_faults(case: Case, visit: Visit) -> Iterator[str]:
    problem, day = case.problem, case.day(visit.day)
    crew = problem.crew_by_id.get(visit.crew)
    if crew is None:
        yield f"there is no crew {visit.crew}"
    elif visit.day >= len(problem.days):
        yield f"there is no {day}: the plan has {len(problem.days)} days"
    elif crew.minutes[visit.day] == 0:
        yield f"{visit.crew} is off on {day}"
    if len(visit.stops) > problem.max_stops:
        yield f"{visit.crew} has {len(visit.stops)} stops on {day}, {problem.max_stops} at most"
    for job, count in Counter(stop.job for stop in visit.stops).items():
        if count > 1:
            yield f"{visit.crew} stops at {job} {count} times on {day}"
        if job not in problem.job_by_id:
            yield f"there is no job {job}"


def hours(case: Case) -> Iterator[Violation]:
    """Rule 2: work, set-ups and drive fit the crew's day with its overtime."""
    for visit in case.known_visits():
        crew = case.problem.crew_by_id[visit.crew]
        most = crew.minutes[visit.day] + crew.overtime[visit.day]
        used = used_minutes(case.problem, visit)
        if used > most:
            text = f"{visit.crew} needs {used} minutes on {case.day(visit.day)}, {most} at most"
            yield _at(case, 2, [visit], text)


def whole_steps(case: Case) -> Iterator[Violation]:
    """Rule 3: a step by one able crew, complete, divided only as whole days and a rest."""
    for visit, stop, part in case.plan.parts():
        home = case.problem.place_of_step.get(part.step)
        if home is None:
            yield _of(3, part.step, f"there is no step {part.step}")
        elif home[0].id != stop.job:
            yield _of(3, part.step, f"{part.step} is no step of {stop.job} ({visit.crew})")
    for _, _, step in case.placed_in_order():
        yield from _step_faults(case, step, case.placed[step.id])


def _step_faults(case: Case, step: Step, placed: PlacedStep) -> Iterator[Violation]:
    crews = sorted({part.visit.crew for part in placed.parts})
    if len(crews) > 1:
        yield _of(3, step.id, f"{step.id} is done by {' and '.join(crews)}, one crew expected")
        return
    needed = step.minutes.get(placed.crew)
    if needed is None:
        yield _of(3, step.id, f"{placed.crew} is not able to do {step.id}")
        return
    done = sum(part.minutes for part in placed.parts)
    if done != needed:
        yield _of(3, step.id, f"{step.id} gets {done} minutes of {placed.crew}, {needed} expected")
    if len(set(placed.days)) < len(placed.days):
        yield _of(3, step.id, f"{step.id} has two parts on one day")
    elif len(placed.parts) > 1 and all(is_known(case.problem, p.visit) for p in placed.parts):
        yield from _division_faults(case, step, placed)


def _division_faults(case: Case, step: Step, placed: PlacedStep) -> Iterator[Violation]:
    least = case.problem.min_part_minutes
    if any(part.minutes < least for part in placed.parts):
        yield _of(3, step.id, f"{step.id} has a part under {least} minutes")
    minutes = case.problem.crew_by_id[placed.crew].minutes
    between = range(placed.first_day, placed.last_day + 1)
    if [day for day in between if minutes[day] > 0] != list(placed.days):
        yield _of(3, step.id, f"{step.id} is not on consecutive days of {placed.crew}")
    first_is_rest = _whole_but(case, placed.parts[1:], placed.parts[0])
    last_is_rest = _whole_but(case, placed.parts[:-1], placed.parts[-1])
    if not first_is_rest and not last_is_rest:
        yield _of(3, step.id, f"{step.id} is not divided into whole days and a rest")


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
                yield _stop(4, stop, f"the parts at {stop.job} are not in the order of its steps")


def _order_faults(case: Case, earlier: Step, before: PlacedStep, step: Step) -> Iterator[Violation]:
    after = case.placed[step.id]
    ready = before.last_day + step.lag_days
    if after.first_day < ready:
        text = (
            f"{step.id} starts on {case.day(after.first_day)}, "
            f"{earlier.id} allows it from {case.day(ready)}"
        )
        yield Violation(4, step.id, text, (step.id, earlier.id))
    elif after.first_day == before.last_day and after.crew != before.crew:
        text = f"{step.id} starts on the day on which another crew ends {earlier.id}"
        yield Violation(4, step.id, text, (step.id, earlier.id))


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
        crews = sorted({visit.crew for visit in visits})
        if len(crews) > 1:
            steps = tuple(part for visit in visits for part in _steps(visit, job))
            yield Violation(5, job, f"{' and '.join(crews)} are there on {case.day(day)}", steps)


def closed_days(case: Case) -> Iterator[Violation]:
    """Rule 6: no step starts on a day whose risk is 1, nor where its crew's day is barred."""
    barred = set(case.problem.barred)
    for _, _, step in case.placed_in_order():
        placed = case.placed[step.id]
        day = placed.first_day
        if day < len(case.problem.days) and step.risk[day] >= 1:
            yield _of(6, step.id, f"{step.id} cannot start on {case.day(day)}")
        elif Assignment(step.id, placed.crew, day) in barred:
            yield _of(6, step.id, f"{placed.crew} cannot start {step.id} on {case.day(day)}")


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
                text = f"{len(using)} crews need one on {case.day(day)}, there are {available}"
                steps = _machine_steps(case, using, machine.kind)
                yield Violation(7, f"{machine.kind}/{case.day(day)}", text, steps)


def _machine_steps(case: Case, visits: list[Visit], kind: str) -> tuple[str, ...]:
    homes = case.problem.place_of_step
    found = [s for v in visits for s in _steps(v) if s in homes]
    return tuple(s for s in found if homes[s][0].steps[homes[s][1]].machine == kind)


def fixed_steps(case: Case) -> Iterator[Violation]:
    """Rule 8: fixed steps start on their day with their crew."""
    for entry in case.problem.fixed:
        placed = case.placed.get(entry.step)
        wanted = f"{entry.step} is fixed to {entry.crew} on {case.day(entry.day)}"
        if placed is None:
            yield Violation(8, entry.step, f"{wanted} and is left out")
        elif (placed.crew, placed.first_day) != (entry.crew, entry.day):
            found = f"{placed.crew} on {case.day(placed.first_day)}"
            yield _of(8, entry.step, f"{wanted}, found {found}")


def no_gaps(case: Case) -> Iterator[Violation]:
    """Rule 9: a step is placed only if all before it are."""
    for job, i, step in case.placed_in_order():
        missing = [before.id for before in job.steps[:i] if before.id not in case.placed]
        if missing:
            yield _of(9, step.id, f"{step.id} is placed, {missing[0]} before it is not")


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


def _of(rule: int, step: str, text: str) -> Violation:
    return Violation(rule, step, text, (step,))


def _stop(rule: int, stop: Stop, text: str) -> Violation:
    return Violation(rule, stop.job, text, tuple(part.step for part in stop.parts))


def _at(case: Case, rule: int, visits: list[Visit], text: str) -> Violation:
    where = f"{visits[0].crew}/{case.day(visits[0].day)}"
    return Violation(rule, where, text, tuple(s for visit in visits for s in _steps(visit)))
