"""The ways in which crews can do parts of jobs: runs and stays; knows no search and no plan.

A *run* does consecutive steps of a job at one stop on one day. A *stay* does consecutive steps
over several days, the last step of every day but the last one being divided. A *kind* of crew
stands for crews that cannot be told apart.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from scheduling.planning.costs import expected_loss, lateness
from scheduling.planning.problem import Assignment, Crew, Job, Problem

Ints = npt.NDArray[np.int64]

# Stands for "not allowed"; larger than any cost of a plan, small enough to add up.
NEVER = 10**14


@dataclass(frozen=True)
class Run:
    """Steps `first` to `until` - 1 of a job, done at one stop on one day.

    `minutes` by kind of crew, 0 where it is not able; `cost` by kind and day in cents: risk,
    changes of what was posted, and the job's end where the run is its last; NEVER where
    the run must not start. `machines` is a set of machine kinds as bits.
    """

    job: int
    first: int
    until: int
    minutes: Ints
    cost: Ints
    machines: int


@dataclass(frozen=True)
class Stay:
    """Steps `first` to `until` - 1 of a job, done by one kind of crew over several days.

    `days` are working days of the crew one after another, `parts` by day the (step, minutes).
    On all but the days at `rests` the crew has no other stop and fills its day.
    """

    job: int
    first: int
    until: int
    kind: int
    days: tuple[int, ...]
    parts: tuple[tuple[tuple[int, int], ...], ...]
    rests: tuple[int, ...]
    cost: int
    machines: tuple[int, ...]

    @property
    def rest(self) -> int:
        """The position of the first day that may be shared."""
        return self.rests[0]

    @property
    def rest_day(self) -> int:
        """The first day that may be shared with other stops."""
        return self.days[self.rest]

    @property
    def rest_minutes(self) -> int:
        """The minutes of work on that day."""
        return sum(minutes for _, minutes in self.parts[self.rest])

    @property
    def whole_days(self) -> tuple[int, ...]:
        """The days that hold nothing else."""
        return tuple(day for x, day in enumerate(self.days) if x not in self.rests)


class Model:
    """A problem turned into arrays, with its crews sorted into kinds.

    `kinds` holds the crews of each kind by position; arrays are indexed by kind, day, job.
    """

    def __init__(self, problem: Problem, kinds: Sequence[Sequence[int]]) -> None:
        self.problem = problem
        self.kinds = tuple(tuple(kind) for kind in kinds)
        crews = [problem.crews[kind[0]] for kind in self.kinds]
        self.crews: list[Crew] = crews
        self.days = len(problem.days)
        shape = (len(crews), self.days)
        self.count = np.array([len(kind) for kind in self.kinds], dtype=np.int64)
        self.usual: Ints = np.array([crew.minutes for crew in crews], np.int64).reshape(shape)
        over = np.array([crew.overtime for crew in crews], np.int64).reshape(shape)
        self.most: Ints = np.where(self.usual > 0, self.usual + over, 0)
        self.travel: Ints = np.array(problem.travel_minutes, dtype=np.int64)
        self.home = np.array([problem.place_index[c.home] for c in crews], dtype=np.int64)
        starts = [[problem.place_index[c.start_on(d)] for d in range(self.days)] for c in crews]
        self.start: Ints = np.array(starts, dtype=np.int64).reshape(shape)
        self.shortcut = largest_shortcut(self.travel)
        self.place = [problem.place_index[job.place] for job in problem.jobs]
        self.machine_bit = {m.kind: 1 << i for i, m in enumerate(problem.machines)}
        self.available: Ints = np.array([m.available for m in problem.machines], np.int64)
        self._fixed = {entry.step: entry for entry in reversed(problem.fixed)}
        self._posted = {entry.step: entry for entry in problem.posted}
        self._barred: dict[str, list[Assignment]] = {}
        for entry in problem.barred:
            self._barred.setdefault(entry.step, []).append(entry)
        self._kind_of_crew = {
            problem.crews[crew].id: k for k, kind in enumerate(self.kinds) for crew in kind
        }
        self.step_cost = [self._step_costs(job) for job in problem.jobs]
        self.minutes = [self._step_minutes(job) for job in problem.jobs]

    @cached_property
    def runs(self) -> list[list[Run]]:
        """The runs of each job that some kind of crew can do on some day."""
        return [list(self._runs_of(j)) for j in range(len(self.problem.jobs))]

    @cached_property
    def working_days(self) -> list[list[int]]:
        """The days on which each kind of crew works."""
        return [[d for d in range(self.days) if row[d] > 0] for row in self.usual]

    def round_trip(self, job: int) -> Ints:
        """Return the drive minutes start, job, home by kind of crew and day."""
        place = self.place[job]
        there: Ints = self.travel[self.start, place] + self.travel[place, self.home][:, None]
        return there

    def ends(self, kind: int, day: int) -> tuple[int, int]:
        """Return the places where a kind's day starts and ends."""
        return int(self.start[kind, day]), int(self.home[kind])

    def ready_after(self, job: int, until: int, day: int) -> int:
        """Return the first day for step `until` by a later arc when the one before ends on `day`.

        Never the same day: what one crew does at a job on one day is one stop, one run.
        """
        return day + max(1, self.problem.jobs[job].steps[until].lag_days)

    def end_cost(self, job: int, day: int) -> int:
        """Return what lateness and waiting cost a job that ends on `day`, in cents."""
        found = self.problem.jobs[job]
        return lateness(found, day) + day * found.wait_cost

    def left_out_cost(self, job: int, first: int) -> int:
        """Return what it costs to leave out the steps from `first` on; NEVER for fixed ones."""
        steps = self.problem.jobs[job].steps[first:]
        if any(step.id in self._fixed for step in steps):
            return NEVER
        posted = sum(step.id in self._posted for step in steps)
        rates = self.problem.costs
        return (
            self.end_cost(job, self.days)
            + len(steps) * self.problem.jobs[job].unplaced_cost
            + posted * (rates.change_day + rates.change_crew)
        )

    def _step_minutes(self, job: Job) -> Ints:
        """Return minutes by step and kind, 0 where the kind is not able."""
        return np.array(
            [[step.minutes.get(crew.id, 0) for crew in self.crews] for step in job.steps],
            dtype=np.int64,
        )

    def _step_costs(self, job: Job) -> Ints:
        """Return cents by step, kind and starting day: risk and changes, NEVER where closed."""
        cost = np.zeros((len(job.steps), len(self.crews), self.days), dtype=np.int64)
        for i, step in enumerate(job.steps):
            closed = [risk >= 1 for risk in step.risk]
            losses = [expected_loss(step, day) for day in range(self.days)]
            cost[i] += np.where(closed, NEVER, losses)
            self._charge_changes(cost[i], self._posted.get(step.id))
            self._forbid_others(cost[i], self._fixed.get(step.id))
            for entry in self._barred.get(step.id, ()):
                cost[i, self._kind_of_crew[entry.crew], entry.day] = NEVER
        return cost

    def _charge_changes(self, cost: Ints, posted: Assignment | None) -> None:
        if posted is None:
            return
        rates = self.problem.costs
        cost += rates.change_day + rates.change_crew
        cost[:, posted.day] -= rates.change_day
        kind = self._kind_of_crew.get(posted.crew)
        if kind is not None:
            cost[kind] -= rates.change_crew

    def _forbid_others(self, cost: Ints, fixed: Assignment | None) -> None:
        if fixed is None:
            return
        kind = self._kind_of_crew[fixed.crew]
        kept = cost[kind, fixed.day]
        cost[:] = NEVER
        cost[kind, fixed.day] = kept

    def _runs_of(self, j: int) -> Iterator[Run]:
        job = self.problem.jobs[j]
        for first in range(len(job.steps)):
            cost = np.zeros((len(self.crews), self.days), dtype=np.int64)
            minutes = np.zeros(len(self.crews), dtype=np.int64)
            able = np.ones(len(self.crews), dtype=bool)
            machines = 0
            for last in range(first, len(job.steps)):
                if last > first and job.steps[last].lag_days > 0:
                    break
                cost = cost + self.step_cost[j][last]
                minutes = minutes + self.minutes[j][last]
                able = able & (self.minutes[j][last] > 0)
                machines |= self.machine_bit.get(job.steps[last].machine or "", 0)
                run = Run(j, first, last + 1, np.where(able, minutes, 0), cost, machines)
                run = replace(run, cost=self._allowed_cost(run))
                if (run.cost < NEVER).any():
                    yield run

    def _allowed_cost(self, run: Run) -> Ints:
        """Return the cost of a run with its job's end, NEVER where hours or skill forbid it."""
        j, cost = run.job, run.cost
        job = self.problem.jobs[j]
        drive = self.round_trip(j) - self.shortcut * (self.problem.max_stops - 1)
        needed = (run.minutes + job.setup_minutes)[:, None] + np.maximum(drive, 0)
        allowed = (run.minutes > 0)[:, None] & (needed <= self.most) & (self.usual > 0)
        if run.until == len(job.steps):
            cost = cost + np.array([self.end_cost(j, day) for day in range(self.days)])
        return np.where(allowed & (cost < NEVER), cost, NEVER)


def largest_shortcut(travel: Ints) -> int:
    """Return by how many minutes a way through a third place can be shorter, 0 if never.

    Measured minutes, and rounded ones, need not keep the triangle inequality.
    """
    largest = 0
    for through in range(len(travel)):
        detour = travel[:, through, None] + travel[None, through, :]
        largest = max(largest, int((travel - detour).max()))
    return largest


def kinds_by_name(problem: Problem) -> list[tuple[int, ...]]:
    """Return a kind for every crew."""
    return [(i,) for i in range(len(problem.crews))]


def kinds_alike(problem: Problem) -> list[tuple[int, ...]]:
    """Return crews sorted into kinds that cannot be told apart.

    Crews that something is fixed, posted or barred to stand alone, so that it counts for them.
    """
    named = {entry.crew for entry in (*problem.fixed, *problem.posted, *problem.barred)}
    if problem.posted:
        return kinds_by_name(problem)
    found: dict[object, list[int]] = {}
    for i, crew in enumerate(problem.crews):
        pace = tuple(step.minutes.get(crew.id) for job in problem.jobs for step in job.steps)
        own = crew.id if crew.id in named else None
        alike = (own, crew.home, crew.starts, crew.minutes, crew.overtime, pace)
        found.setdefault(alike, []).append(i)
    return [tuple(kind) for kind in found.values()]
