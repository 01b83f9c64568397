"""The whole problem as one plain MIP for SciPy's HiGHS: slow, and sharing no code with the planner.

It knows the problem's file and the rules as they are written, nothing else: steps have minutes
on days, crew-days have tours of arcs. It is there to check the planner on small problems.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from scheduling.planning.problem import Assignment, Crew, Job, Problem, Step

Terms = dict[int, float]


@dataclass
class Mip:
    """Variables and rows as they are written down one by one."""

    cost: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    rows: list[Terms] = field(default_factory=list)
    least: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)

    def variable(self, cost: float = 0.0, upper: float = 1.0, whole: bool = True) -> int:
        """Add a variable from 0 to `upper` and return its number."""
        self.cost.append(cost)
        self.upper.append(upper)
        self.whole.append(int(whole))
        return len(self.cost) - 1

    def at_most(self, terms: Terms, most: float) -> None:
        """Demand that a sum is at most so much."""
        self._row(terms, -np.inf, most)

    def exactly(self, terms: Terms, value: float) -> None:
        """Demand that a sum is exactly so much."""
        self._row(terms, value, value)

    def solve(self, seconds: float) -> Any:
        """Return what SciPy finds within so many seconds."""
        entries = [(r, v, c) for r, terms in enumerate(self.rows) for v, c in terms.items()]
        r, v, c = (np.array(each) for each in zip(*entries, strict=True))
        matrix = csr_array((c, (r, v)), shape=(len(self.rows), len(self.cost)))
        return milp(
            np.array(self.cost),
            integrality=np.array(self.whole),
            bounds=Bounds(0, np.array(self.upper)),
            constraints=LinearConstraint(matrix, np.array(self.least), np.array(self.most)),
            options={"time_limit": seconds, "mip_rel_gap": 0.0},
        )

    def _row(self, terms: Terms, least: float, most: float) -> None:
        self.rows.append(terms)
        self.least.append(least)
        self.most.append(most)


@dataclass(frozen=True)
class MipResult:
    """The MIP's best cost and bound in cents; `cost` is None where it found no plan."""

    cost: float | None
    bound: float
    optimal: bool


def solve_as_mip(problem: Problem, seconds: float) -> MipResult:
    """Return optimum, or cost and bound so far, of the problem as one MIP."""
    if not problem.jobs:
        return MipResult(0.0, 0.0, True)
    found = _Writer(problem).mip.solve(seconds)
    bound = found.mip_dual_bound if found.mip_dual_bound is not None else 0.0
    cost = None if found.x is None else float(found.fun)
    return MipResult(cost, float(bound), found.status == 0)


def _sum(variables: Iterable[int], factor: float = 1.0) -> Terms:
    return dict.fromkeys(variables, factor)


class _Writer:
    """Writes the MIP down, rule by rule and cost by cost."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.mip = Mip()
        self.days = range(len(problem.days))
        self.crews = {c.id: c for c in problem.crews}
        self.stop: dict[tuple[str, str, int], int] = {}
        self.part: dict[tuple[str, str, int], int] = {}
        self.on: dict[tuple[str, str, int], int] = {}
        self.first: dict[tuple[str, str, int], int] = {}
        self.last: dict[tuple[str, str, int], int] = {}
        self.done: dict[tuple[str, str], int] = {}
        self.used: dict[tuple[str, int], Terms] = {}
        self.steps = [(job, step) for job in problem.jobs for step in job.steps]
        for crew in problem.crews:
            for day in self.days:
                self._crew_day(crew, day)
        for _, step in self.steps:
            self._step(step)
        for job in problem.jobs:
            self._job(job)
        self._fill_days()
        for job, step in self.steps:
            self._division(job, step)
        self._machines()
        self._fixed_and_posted()

    def working(self, crew: str) -> list[int]:
        """Return the days on which a crew works."""
        return [day for day in self.days if self.crews[crew].minutes[day] > 0]

    def _crew_day(self, crew: Crew, day: int) -> None:
        """Make a tour of arcs from home over the chosen stops and back; rank bars round trips."""
        if crew.minutes[day] == 0:
            return
        mip, rates, jobs = self.mip, self.problem.costs, self.problem.jobs
        used = mip.variable(rates.crew_day)
        most = self.problem.max_stops
        for job in jobs:
            self.stop[job.id, crew.id, day] = mip.variable()
        stops = {job.id: self.stop[job.id, crew.id, day] for job in jobs}
        mip.at_most(_sum(stops.values()) | {used: -most}, 0)
        place = {job.id: job.place for job in jobs} | {"": crew.start_on(day)}
        back = place | {"": crew.home}
        rank = {job.id: mip.variable(upper=most, whole=False) for job in jobs}
        arcs = {(a, b): mip.variable() for a in place for b in place if a != b}
        time: Terms = {}
        for (a, b), arc in arcs.items():
            minutes = self.problem.drive(place[a], back[b])
            mip.cost[arc] += minutes * rates.travel_minute
            time[arc] = minutes
            if a and b:
                mip.at_most({rank[a]: 1, rank[b]: -1, arc: most + 1}, most)
        for node in place:
            through = {used: -1.0} if not node else {stops[node]: -1.0}
            mip.exactly(_sum(v for (a, _), v in arcs.items() if a == node) | through, 0)
            mip.exactly(_sum(v for (_, b), v in arcs.items() if b == node) | through, 0)
        time |= {stops[job.id]: float(job.setup_minutes) for job in jobs}
        self.used[crew.id, day] = time

    def _step(self, step: Step) -> None:
        """Spread minutes by day; a step's days follow one another from its first to its last."""
        mip = self.mip
        for crew, minutes in step.minutes.items():
            days = self.working(crew)
            done = self.done[step.id, crew] = mip.variable()
            for day in days:
                key = (step.id, crew, day)
                self.on[key], self.first[key], self.last[key] = (
                    mip.variable(),
                    mip.variable(round(step.risk[day] * step.turned_away)),
                    mip.variable(),
                )
                self.part[key] = mip.variable(upper=minutes, whole=False)
                mip.at_most({self.part[key]: 1, self.on[key]: -minutes}, 0)
                mip.at_most({self.on[key]: 1, self.part[key]: -1}, 0)
                if step.risk[day] >= 1 or Assignment(step.id, crew, day) in self.problem.barred:
                    mip.upper[self.first[key]] = 0
            self._run_of_days(step.id, crew, days)
            for family in (self.first, self.last):
                mip.exactly(_sum(family[step.id, crew, d] for d in days) | {done: -1}, 0)
            mip.exactly(_sum(self.part[step.id, crew, d] for d in days) | {done: -minutes}, 0)

    def _run_of_days(self, step: str, crew: str, days: list[int]) -> None:
        """Put a day on when the day before is, unless it was the last, or when it is the first."""
        before: Terms = {}
        for day in days:
            key = (step, crew, day)
            terms: Terms = {self.on[key]: 1, self.first[key]: -1}
            self.mip.exactly(terms | before, 0)
            before = {self.on[key]: -1, self.last[key]: 1}

    def _job(self, job: Job) -> None:
        """State order, lag, one crew a day, the end of the job, what is left out, hand-offs."""
        mip, count = self.mip, len(self.problem.days)
        for i, step in enumerate(job.steps):
            placed = [self.done[step.id, crew] for crew in step.minutes]
            mip.at_most(_sum(placed), 1)
            out = mip.variable(job.unplaced_cost)
            mip.exactly({**_sum(placed), out: 1}, 1)
            if i:
                earlier = [self.done[job.steps[i - 1].id, c] for c in job.steps[i - 1].minutes]
                mip.at_most(_sum(placed) | _sum(earlier, -1), 0)
                self._follow(job.steps[i - 1], step)
        self._end(job, count)
        names = {step.id for step in job.steps}
        for (j, crew, day), stop in self.stop.items():
            if j == job.id:
                work = [
                    v for (s, c, d), v in self.on.items() if (c, d) == (crew, day) and s in names
                ]
                for on in work:
                    mip.at_most({on: 1, stop: -1}, 0)
                # A stop without work could save drive where a detour is a short cut.
                mip.at_most({stop: 1} | _sum(work, -1), 0)
        for day in self.days:
            here = [v for (j, _, d), v in self.stop.items() if j == job.id and d == day]
            mip.at_most(_sum(here), 1)

    def _follow(self, before: Step, step: Step) -> None:
        """Let a step start on a day only if the one before ended early enough."""
        mip = self.mip
        for day in self.days:
            starts = [v for (s, _, d), v in self.first.items() if s == step.id and d <= day]
            ended = [
                v
                for (s, _, d), v in self.last.items()
                if s == before.id and d <= day - step.lag_days
            ]
            mip.at_most(_sum(starts) | _sum(ended, -1), 0)
        for crew in step.minutes:
            earlier = self.done.get((before.id, crew))
            handoff = mip.variable(self.problem.costs.handoff, whole=False)
            terms = {self.done[step.id, crew]: 1.0, handoff: -1.0}
            mip.at_most(terms | ({earlier: -1.0} if earlier is not None else {}), 0)

    def _end(self, job: Job, count: int) -> None:
        """End the job on its last step's last day, on day `count` if a step is left out."""
        mip, step = self.mip, job.steps[-1]
        ends = {v: d for (s, _, d), v in self.last.items() if s == step.id}
        for variable, day in ends.items():
            mip.cost[variable] += self._end_cost(job, day)
        open_end = mip.variable(self._end_cost(job, count))
        mip.exactly({**_sum(ends), open_end: 1}, 1)

    def _end_cost(self, job: Job, day: int) -> int:
        return day * job.wait_cost + max(0, day - job.promised_day) * job.late_cost

    def _fill_days(self) -> None:
        """Fit work, set-ups and drive into the day; what passes the usual day is overtime."""
        mip = self.mip
        for (crew, day), time in self.used.items():
            for (_, c, d), part in self.part.items():
                if (c, d) == (crew, day):
                    time[part] = 1.0
            over = self.crews[crew].overtime[day]
            overtime = mip.variable(self.problem.costs.overtime_minute, over, False)
            mip.at_most(time | {overtime: -1.0}, self.crews[crew].minutes[day])

    def _division(self, job: Job, step: Step) -> None:
        """Divide a step: whole days and a rest that comes last, or comes first."""
        mip, least = self.mip, self.problem.min_part_minutes
        for crew, minutes in step.minutes.items():
            days = self.working(crew)
            divided, rest_first = mip.variable(), mip.variable()
            keys = [(step.id, crew, day) for day in days]
            mip.at_most(
                _sum(self.on[k] for k in keys)
                | {divided: -len(days), self.done[step.id, crew]: -1},
                0,
            )
            short = {day: mip.variable() for day in days}
            mip.at_most(_sum(short.values()), 1)
            for key in keys:
                mip.at_most({self.on[key]: least, divided: least, self.part[key]: -1}, least)
                for exempt, way in ((self.first, 0.0), (self.last, 1.0)):
                    sign = 1.0 if way == 0.0 else -1.0
                    whole = mip.variable()
                    mip.at_most(
                        {self.on[key]: 1, exempt[key]: -1, whole: -1, rest_first: sign}, 1 - way
                    )
                    self._whole_day(key, whole, short[key[2]], least)
                    small = {self.part[key]: 1.0, exempt[key]: minutes, rest_first: sign * minutes}
                    mip.at_most(small | _sum(short.values(), minutes), least + (3 - way) * minutes)
        del job

    def _whole_day(self, key: tuple[str, str, int], whole: int, short: int, least: int) -> None:
        """Give the crew-day one stop and exactly its minutes, or a little less, if `whole` is 1."""
        _, crew, day = key
        mip, usual = self.mip, self.crews[crew].minutes[day]
        over = self.crews[crew].overtime[day]
        stops = [v for (_, c, d), v in self.stop.items() if (c, d) == (crew, day)]
        mip.at_most(_sum(stops) | {whole: len(stops)}, 1 + len(stops))
        time = self.used[crew, day]
        mip.at_most(time | {whole: over}, usual + over)
        mip.at_most({v: -c for v, c in time.items()} | {whole: usual, short: 1 - least}, 0)

    def _machines(self) -> None:
        mip, machine = self.mip, {step.id: step.machine for _, step in self.steps}
        for kind in self.problem.machines:
            for day in self.days:
                takes = []
                for crew in self.problem.crews:
                    take = mip.variable()
                    takes.append(take)
                    for (s, c, d), on in self.on.items():
                        if (machine[s], c, d) == (kind.kind, crew.id, day):
                            mip.at_most({on: 1, take: -1}, 0)
                mip.at_most(_sum(takes), kind.available[day])

    def _fixed_and_posted(self) -> None:
        mip, rates = self.mip, self.problem.costs
        for entry in self.problem.fixed:
            start = self.first.get((entry.step, entry.crew, entry.day))
            mip.exactly({start: 1.0} if start is not None else {mip.variable(upper=0): 1.0}, 1)
        for entry in self.problem.posted:
            crew = self.done.get((entry.step, entry.crew))
            days = [v for (s, _, d), v in self.first.items() if (s, d) == (entry.step, entry.day)]
            for kept, cost in (
                ([crew] if crew is not None else [], rates.change_crew),
                (days, rates.change_day),
            ):
                change = mip.variable(cost)
                mip.exactly(_sum(kept) | {change: 1.0}, 1)
