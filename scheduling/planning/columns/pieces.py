"""What can stand in a crew-day, as arrays over runs and stays, and the states of jobs between.

A *state* (job, step, day) says that the steps before `step` are done and `step` may start from
`day` on; states from which nothing can start until later are one with the later state. A
*piece* takes its job from one state to a later one: a run, or a stay at its rest day. Knows
no prices and no solver.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from scheduling.planning.columns.model import NEVER, Ints, Model, Stay
from scheduling.planning.columns.stays import stays_of

# Stands for leaving out what is fixed in the relaxation, in cents: beyond any real cost, yet
# small enough for exact sums.
LOCKED = 10**9
# Added where a stay would be left in its middle: more than any job costs.
UNFINISHED = 10**7

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class States:
    """The states of all jobs: `at[j][i][d]` is a number, `end` where a job needs no more.

    `first` by job is where it starts; `later` by state the same step's next one, itself for
    the last; `out` by state what leaving out costs from there; -1 in `at` is unreachable.
    """

    at: list[Ints]
    first: Ints
    later: Ints
    out: Floats
    job: Ints
    step: Ints
    day: Ints

    @property
    def end(self) -> int:
        """The number that stands for a finished job, one past the last state."""
        return len(self.out)


@dataclass(frozen=True)
class Span:
    """Days of a stay that go together in one column: one that may be shared, and whole ones.

    A stay with one rest is one span; one with two rests is two, with a state of its own in the
    middle. `at` and `whole` are positions in its days.
    """

    stay: Stay
    at: int
    whole: tuple[int, ...]
    start: int
    finish: int
    cost: int

    @property
    def begins(self) -> bool:
        """Tell whether the stay's first day is here."""
        return 0 in (self.at, *self.whole)

    @property
    def ends(self) -> bool:
        """Tell whether the stay's last day is here."""
        return len(self.stay.days) - 1 in (self.at, *self.whole)

    @property
    def minutes(self) -> int:
        """The minutes of work on the day that may be shared."""
        return sum(minutes for _, minutes in self.stay.parts[self.at])


class Pieces:
    """All runs and spans of stays. Piece p < `runs` is a run, the others are spans.

    Arrays of runs have axes (run, kind, day); arrays of spans one entry each. `fits` tells
    which may start. `start` and `finish` are states. `cost` holds what the job pays,
    for spans also drive and crew-days of the whole days.
    """

    def __init__(self, model: Model, pairs: Sequence[Stay] = ()) -> None:
        self.model = model
        self.pairs = tuple(pairs)
        self.run_list = [run for runs in model.runs for run in runs]
        stays = [stay for j in range(len(model.runs)) for stay in stays_of(model, j)]
        self.runs = len(self.run_list)
        self.states = _states(model, stays, self.pairs)
        setup = np.array([job.setup_minutes for job in model.problem.jobs], np.int64)
        self.setup = setup
        first_middle = self.states.end - len(self.pairs)
        self.span_list = [_single(model, self.states, stay) for stay in stays]
        for n, pair in enumerate(self.pairs):
            self.span_list += _halves(model, self.states, pair, first_middle + n)
        self._gather_runs()
        self._gather_spans()

    def _gather_runs(self) -> None:
        kinds, days = len(self.model.crews), self.model.days
        shape = (self.runs, kinds, days)
        self.run_job = np.array([run.job for run in self.run_list], np.int64)
        self.run_first = np.array([run.first for run in self.run_list], np.int64)
        self.run_until = np.array([run.until for run in self.run_list], np.int64)
        self.run_mask = np.array([run.machines for run in self.run_list], np.int64)
        minutes = np.array([run.minutes for run in self.run_list], np.int64)
        self.run_minutes = minutes.reshape(self.runs, kinds) + self.setup[self.run_job][:, None]
        cost = np.array([run.cost for run in self.run_list], np.int64).reshape(shape)
        self.run_start = np.full((self.runs, days), -1, np.int64)
        self.run_finish = np.full((self.runs, days), self.states.end, np.int64)
        extra = np.zeros((self.runs, days), np.int64)
        for r, run in enumerate(self.run_list):
            self.run_start[r] = self.states.at[run.job][run.first]
            for day in range(days):
                finish, out = finish_of(self.model, self.states, run.job, run.until, day)
                self.run_finish[r, day], extra[r, day] = finish, out
        self.run_fits = (cost < NEVER) & (self.run_start >= 0)[:, None, :]
        self.run_fits &= (extra < NEVER)[:, None, :]
        self.run_cost: Floats = (cost + extra[:, None, :]).astype(np.float64)

    def _gather_spans(self) -> None:
        spans = self.span_list
        self.stay_job = np.array([span.stay.job for span in spans], np.int64)
        self.stay_first = np.array([s.stay.first if s.begins else 0 for s in spans], np.int64)
        self.stay_until = np.array([s.stay.until if s.ends else 0 for s in spans], np.int64)
        self.stay_kind = np.array([span.stay.kind for span in spans], np.int64)
        self.stay_day = np.array([span.stay.days[span.at] for span in spans], np.int64)
        rest = np.array([span.minutes for span in spans], np.int64)
        self.stay_minutes: Ints = rest + self.setup[self.stay_job]
        self.stay_mask = np.array([span.stay.machines[span.at] for span in spans], np.int64)
        self.stay_in = np.array([span.at > 0 for span in spans], bool)
        self.stay_out = np.array([s.at < len(s.stay.days) - 1 for s in spans], bool)
        self.stay_start = np.array([span.start for span in spans], np.int64)
        self.stay_finish = np.array([span.finish for span in spans], np.int64)
        self.stay_cost: Floats = np.array([span.cost for span in spans], np.float64)
        self.stay_fits = (self.stay_start >= 0) & (self.stay_cost < NEVER)


def whole_days_cost(model: Model, job: int, kind: int, days: Iterable[int]) -> int:
    """Return drive and crew-day of days that hold only this job, in cents."""
    rates, drives = model.problem.costs, model.round_trip(job)[kind]
    return sum(int(drives[day]) * rates.travel_minute + rates.crew_day for day in days)


def _single(model: Model, states: States, stay: Stay) -> Span:
    finish, out = finish_of(model, states, stay.job, stay.until, stay.days[-1])
    whole = tuple(x for x in range(len(stay.days)) if x not in stay.rests)
    start = int(states.at[stay.job][stay.first][stay.days[0]])
    alone = whole_days_cost(model, stay.job, stay.kind, stay.whole_days)
    cost = stay.cost + out + alone
    return Span(stay, stay.rest, whole, start, finish, cost)


def _halves(model: Model, states: States, stay: Stay, middle: int) -> list[Span]:
    """Return the days up to the first rest, and those after it."""
    first, second = stay.rests
    finish, out = finish_of(model, states, stay.job, stay.until, stay.days[-1])
    start = int(states.at[stay.job][stay.first][stay.days[0]])
    before = tuple(range(first))
    after = tuple(x for x in range(first + 1, len(stay.days)) if x != second)
    alone = [
        whole_days_cost(model, stay.job, stay.kind, (stay.days[x] for x in half))
        for half in (before, after)
    ]
    return [
        Span(stay, first, before, start, middle, stay.cost + alone[0]),
        Span(stay, second, after, middle, finish, out + alone[1]),
    ]


def finish_of(model: Model, states: States, j: int, until: int, day: int) -> tuple[int, int]:
    """Return the state after an arc that ends on `day`, and what leaving out the rest costs."""
    if until == len(model.problem.jobs[j].steps):
        return states.end, 0
    ready = model.ready_after(j, until, day)
    if ready < model.days and states.at[j][until][ready] >= 0:
        return int(states.at[j][until][ready]), 0
    return states.end, model.left_out_cost(j, until)


def _states(model: Model, stays: list[Stay], pairs: Sequence[Stay]) -> States:
    """Return the states that can be reached and left, those amid stays with two rests last."""
    at = [np.full((len(job.steps), model.days), -1, np.int64) for job in model.problem.jobs]
    found: list[tuple[int, int, int]] = []
    by_job: list[list[Stay]] = [[] for _ in at]
    for stay in (*stays, *pairs):
        by_job[stay.job].append(stay)
    first = np.full(len(at), -1, np.int64)
    for j in range(len(at)):
        _number(model, j, by_job[j], at[j], found)
        first[j] = at[j][0][0]
    later = [
        s + (here[:2] == after[:2])
        for s, (here, after) in enumerate(pairwise([*found, (-1, -1, -1)]))
    ]
    out = [min(model.left_out_cost(j, i), LOCKED) for j, i, _ in found]
    for pair in pairs:
        later.append(len(later))
        out.append(min(model.left_out_cost(pair.job, 0), LOCKED) + UNFINISHED)
        found.append((pair.job, 0, pair.days[0]))
    job, step, day = np.array(found, np.int64).reshape(-1, 3).T
    return States(at, first, np.array(later, np.int64), np.array(out, np.float64), job, step, day)


def _number(
    model: Model, j: int, stays: list[Stay], at: Ints, found: list[tuple[int, int, int]]
) -> None:
    """Give one job's states numbers in `at`, days without a start joined to the next with one."""
    starts, ends = _starts_and_ends(model, j, stays)
    earliest = 0
    for i in range(len(at)):
        days = [d for d in sorted(starts[i]) if d >= earliest]
        for day in range(model.days):
            ahead = next((d for d in days if d >= day), None)
            if ahead is None or day < earliest:
                continue
            if not found or found[-1] != (j, i, ahead):
                found.append((j, i, ahead))
            at[i][day] = len(found) - 1
        reached = [
            model.ready_after(j, i + 1, end)
            for start, end in ends.get(i + 1, ())
            if i + 1 < len(at) and start >= 0
        ]
        earliest = min(reached, default=model.days)


def _starts_and_ends(
    model: Model, j: int, stays: list[Stay]
) -> tuple[list[set[int]], dict[int, set[tuple[int, int]]]]:
    """Return the days on which each step can start, and by `until` the (start, end) days."""
    starts: list[set[int]] = [set() for _ in model.problem.jobs[j].steps]
    ends: dict[int, set[tuple[int, int]]] = {}
    for run in model.runs[j]:
        for day in np.flatnonzero((run.cost < NEVER).any(axis=0)):
            starts[run.first].add(int(day))
            ends.setdefault(run.until, set()).add((int(day), int(day)))
    for stay in stays:
        starts[stay.first].add(stay.days[0])
        ends.setdefault(stay.until, set()).add((stay.days[0], stay.days[-1]))
    return starts, ends
