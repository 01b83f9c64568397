"""Every plan of a tiny problem, listed from the wording of the rules and judged one by one.

Nothing here knows how the planner searches. A step's parts are listed minute by minute. A way
is dropped early only where no more stops could mend it:

- a part longer than the crew's day with its overtime, a part of a divided step under the least;
- what a job breaks when nothing else is planned, except for hours, which another stop on a
  short cut could mend;
- what costs more already than the best plan: a job's own costs do not depend on the others, and
  drive, overtime and crew-days are never negative. Where no way through a third place is shorter
  the crew-days chosen so far cost no less with more stops, nor break fewer rules.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise, permutations, product

from scheduling.planning.check import judge
from scheduling.planning.plan import Part, Plan, Stop, Visit
from scheduling.planning.problem import Crew, Job, Problem, Step

SHARED_COSTS = ("travel", "overtime", "crew_day")

# A part of a step: (crew, day, step, minutes).
Piece = tuple[str, int, str, int]


@dataclass(frozen=True)
class Way:
    """One way to do a job, or to leave out all of it or its end; `cost` is the job's own."""

    job: str
    pieces: tuple[Piece, ...]
    cost: int


def best_plan(problem: Problem) -> tuple[int, Plan] | None:
    """Return cost and plan of the optimum, None where no plan keeps every rule."""
    return _Enumeration(problem).best()


def ways_of(problem: Problem, job: Job) -> list[Way]:
    """Return all ways to do a job that break no rule by themselves, the cheapest first."""
    alone = only_jobs(problem, [job])
    ways = []
    for placed in range(len(job.steps) + 1):
        for pieces in _ordered(problem, job.steps[:placed]):
            judgement = judge(alone, plan_of(problem, [Way(job.id, pieces, 0)]))
            if all(found.rule == 2 for found in judgement.violations):
                own = sum(v for k, v in judgement.costs.items() if k not in SHARED_COSTS)
                ways.append(Way(job.id, pieces, own))
    return sorted(ways, key=lambda way: way.cost)


def only_jobs(problem: Problem, jobs: list[Job]) -> Problem:
    """Return the problem with these jobs alone."""
    steps = {step.id for job in jobs for step in job.steps}
    return replace(
        problem,
        jobs=tuple(jobs),
        fixed=tuple(entry for entry in problem.fixed if entry.step in steps),
        posted=tuple(entry for entry in problem.posted if entry.step in steps),
    )


def plan_of(problem: Problem, ways: list[Way]) -> Plan:
    """Return the plan in which jobs are done these ways, every crew-day by its shortest drive."""
    stops: defaultdict[tuple[str, int], dict[str, list[Part]]] = defaultdict(dict)
    for way in ways:
        for crew, day, step, minutes in way.pieces:
            stops[crew, day].setdefault(way.job, []).append(Part(step, minutes))
    visits = []
    for (crew, day), jobs in sorted(stops.items()):
        ends = (problem.crew_by_id[crew].start_on(day), problem.crew_by_id[crew].home)
        order = min(permutations(jobs), key=lambda found: _drive(problem, ends, found))
        found = tuple(Stop(job, tuple(jobs[job])) for job in order)
        visits.append(Visit(crew, day, found))
    return Plan(tuple(visits))


def keeps_the_triangle(problem: Problem) -> bool:
    """Tell whether no way through a third place is shorter than the direct one."""
    travel, places = problem.travel_minutes, range(len(problem.places))
    return all(travel[a][c] <= travel[a][b] + travel[b][c] for a, b, c in product(places, repeat=3))


def _drive(problem: Problem, ends: tuple[str, str], jobs: tuple[str, ...]) -> int:
    places = [ends[0], *(problem.job_by_id[job].place for job in jobs), ends[1]]
    return sum(problem.drive(a, b) for a, b in pairwise(places))


def _ordered(problem: Problem, steps: tuple[Step, ...]) -> Iterator[tuple[Piece, ...]]:
    """Yield every way to place these steps, none starting before the one before allows."""
    if not steps:
        yield ()
        return
    *earlier, last = steps
    choices = list(_placements(problem, last))
    for before in _ordered(problem, tuple(earlier)):
        ready = before[-1][1] + last.lag_days if before else 0
        yield from ((*before, *pieces) for pieces in choices if pieces[0][1] >= ready)


def _placements(problem: Problem, step: Step) -> Iterator[tuple[Piece, ...]]:
    """Yield every crew, first day and sequence of parts on consecutive days of that crew."""
    for name, minutes in step.minutes.items():
        crew = problem.crew_by_id[name]
        working = [day for day, usual in enumerate(crew.minutes) if usual > 0]
        for start in range(len(working)):
            for until in range(start + 1, len(working) + 1):
                days = working[start:until]
                least = problem.min_part_minutes if len(days) > 1 else 1
                for parts in _splits(crew, minutes, days, least):
                    yield tuple((name, d, step.id, m) for d, m in zip(days, parts, strict=True))


def _splits(crew: Crew, minutes: int, days: list[int], least: int) -> Iterator[tuple[int, ...]]:
    """Yield every sequence of parts, one a day, that add up, minute by minute."""
    most = crew.minutes[days[0]] + crew.overtime[days[0]]
    if len(days) == 1:
        if least <= minutes <= most:
            yield (minutes,)
        return
    for part in range(least, min(most, minutes) + 1):
        for rest in _splits(crew, minutes - part, days[1:], least):
            yield (part, *rest)


class _Enumeration:
    """Chooses a way for one job after the other, in all combinations that can still be best."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.jobs = list(problem.jobs)
        self.ways = [ways_of(problem, job) for job in self.jobs]
        self.parts = [only_jobs(problem, self.jobs[:n]) for n in range(len(self.jobs) + 1)]
        least = [ways[0].cost if ways else 0 for ways in self.ways]
        self.still = [sum(least[n:]) for n in range(len(self.jobs) + 1)]
        self.is_monotone = keeps_the_triangle(problem)
        self.found: tuple[int, Plan] | None = None

    def best(self) -> tuple[int, Plan] | None:
        self._extend([])
        return self.found

    def _extend(self, chosen: list[Way]) -> None:
        count = len(chosen)
        own = sum(way.cost for way in chosen)
        if count == len(self.jobs) or (self.is_monotone and count > 1):
            plan = plan_of(self.problem, chosen)
            judgement = judge(self.parts[count], plan)
            if not judgement.clean or not self._could_be_best(judgement.total, count):
                return
            if count == len(self.jobs):
                self.found = judgement.total, plan
                return
        for way in self.ways[count]:
            if not self._could_be_best(own + way.cost, count + 1):
                return
            self._extend([*chosen, way])

    def _could_be_best(self, cost: int, count: int) -> bool:
        return self.found is None or cost + self.still[count] < self.found[0]
