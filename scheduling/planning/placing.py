"""Where a plan puts each step and how full its crew-days are; knows no rule and no cost."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise

from scheduling.planning.plan import Plan, Stop, Visit
from scheduling.planning.problem import Job, Problem


@dataclass(frozen=True)
class PlacedPart:
    """A part of a step together with the crew-day that holds it."""

    visit: Visit
    minutes: int


@dataclass(frozen=True)
class PlacedStep:
    """A step that the plan holds, its parts in order of their days."""

    parts: tuple[PlacedPart, ...]

    @property
    def first_day(self) -> int:
        """The day on which the step starts."""
        return self.parts[0].visit.day

    @property
    def last_day(self) -> int:
        """The day on which the step ends."""
        return self.parts[-1].visit.day

    @property
    def crew(self) -> str:
        """The crew of the first part; rule 3 sees to it that there is no other."""
        return self.parts[0].visit.crew

    @property
    def days(self) -> tuple[int, ...]:
        """The days of the parts, with repeats where a day holds several."""
        return tuple(part.visit.day for part in self.parts)


def placed_steps(plan: Plan) -> dict[str, PlacedStep]:
    """Return every step that the plan holds, known to the problem or not."""
    parts: defaultdict[str, list[PlacedPart]] = defaultdict(list)
    for visit, _, part in plan.parts():
        parts[part.step].append(PlacedPart(visit, part.minutes))
    return {
        step: PlacedStep(tuple(sorted(found, key=lambda part: part.visit.day)))
        for step, found in parts.items()
    }


def job_last_day(problem: Problem, job: Job, placed: Mapping[str, PlacedStep]) -> int:
    """Return the day on which the job ends: the number of days where a step is left out."""
    if any(step.id not in placed for step in job.steps):
        return len(problem.days)
    return max(placed[step.id].last_day for step in job.steps)


def is_known(problem: Problem, visit: Visit) -> bool:
    """Tell whether the crew, the day and all jobs of a crew-day exist."""
    return (
        visit.crew in problem.crew_by_id
        and visit.day < len(problem.days)
        and all(stop.job in problem.job_by_id for stop in visit.stops)
    )


def drive_minutes(problem: Problem, visit: Visit) -> int:
    """Return the minutes of the drive from the start, stops in their order, home."""
    if not visit.stops:
        return 0
    crew = problem.crew_by_id[visit.crew]
    stops = (problem.job_by_id[stop.job].place for stop in visit.stops)
    places = [crew.start_on(visit.day), *stops, crew.home]
    return sum(problem.drive(a, b) for a, b in pairwise(places))


def used_minutes(problem: Problem, visit: Visit) -> int:
    """Return the work, the set-up of each stop and the drive of a crew-day, in minutes."""
    stops = sum(_stop_minutes(problem, stop) for stop in visit.stops)
    return stops + drive_minutes(problem, visit)


def over_minutes(problem: Problem, visit: Visit) -> int:
    """Return by how many minutes a crew-day is longer than the crew's usual day."""
    usual = problem.crew_by_id[visit.crew].minutes[visit.day]
    return max(0, used_minutes(problem, visit) - usual)


def machine_kinds(problem: Problem, visit: Visit) -> tuple[str, ...]:
    """Return the kinds of machine that a crew-day needs, each once, sorted."""
    return tuple(sorted(set(_kinds(problem, visit))))


def _stop_minutes(problem: Problem, stop: Stop) -> int:
    return problem.job_by_id[stop.job].setup_minutes + sum(part.minutes for part in stop.parts)


def _kinds(problem: Problem, visit: Visit) -> Iterable[str]:
    for stop in visit.stops:
        for part in stop.parts:
            if part.step in problem.place_of_step:
                job, i = problem.place_of_step[part.step]
                machine = job.steps[i].machine
                if machine is not None:
                    yield machine
