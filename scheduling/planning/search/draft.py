"""A plan in the making, as arrays that say what one more stop would cost; knows no strategy.

Every crew is a kind of its own here. A job is put in by the cheapest path over its arcs.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from scheduling.planning.columns.model import NEVER, Ints, Model, Run, Stay
from scheduling.planning.columns.stays import stays_of
from scheduling.planning.columns.tours import Ends, Entry, shortest_tour

FAR = 10**7


class Arc(NamedTuple):
    """Steps of a job on days of a crew: a run with its crew and day, or a stay."""

    crew: int
    day: int
    doing: Run | Stay

    @property
    def until(self) -> int:
        """The position after the last step."""
        return self.doing.until

    @property
    def days(self) -> tuple[int, ...]:
        """The days of the crew that it takes."""
        return self.doing.days if isinstance(self.doing, Stay) else (self.day,)

    @property
    def cost(self) -> int:
        """What the job pays for it, in cents: risk, changes, its end."""
        if isinstance(self.doing, Stay):
            return self.doing.cost
        return int(self.doing.cost[self.crew, self.day])


@dataclass
class JobTable:
    """What a job can be done by, gathered once: its runs, and its stays as arrays."""

    runs: list[Run]
    stays: list[Stay]
    kind: Ints
    rest_day: Ints
    whole_days: Ints
    rest_minutes: Ints
    cost: Ints


def table_of(model: Model, j: int) -> JobTable:
    """Return the runs and stays of a job, ready for `Draft.insert`."""
    stays = stays_of(model, j)
    longest = max((len(stay.whole_days) for stay in stays), default=1)
    whole = [[*s.whole_days, *[s.whole_days[0]] * (longest - len(s.whole_days))] for s in stays]
    lone = model.round_trip(j) * model.problem.costs.travel_minute + model.problem.costs.crew_day
    cost = [stay.cost + int(lone[stay.kind, list(stay.whole_days)].sum()) for stay in stays]
    return JobTable(
        runs=model.runs[j],
        stays=stays,
        kind=np.array([stay.kind for stay in stays], np.int64),
        rest_day=np.array([stay.rest_day for stay in stays], np.int64),
        whole_days=np.array(whole, np.int64).reshape(len(stays), longest),
        rest_minutes=np.array([stay.rest_minutes for stay in stays], np.int64),
        cost=np.array(cost, np.int64),
    )


class Draft:
    """Crew-days with their stops, and for each job its arcs; all costs kept up to date."""

    def __init__(self, model: Model, tables: list[JobTable]) -> None:
        self.model = model
        self.tables = tables
        crews, days, most = len(model.crews), model.days, model.problem.max_stops
        self.stops: list[tuple[Entry, ...]] = [()] * (crews * days)
        self.arcs: list[tuple[Arc, ...]] = [()] * len(tables)
        self.job_cost = [model.left_out_cost(j, 0) for j in range(len(tables))]
        self.used = np.zeros((crews, days), np.int64)
        self.over = np.zeros((crews, days), np.int64)
        self.day_cost = np.zeros((crews, days), np.int64)
        self.free = np.where(model.usual > 0, most, 0)
        self.machines = np.zeros((crews, days), np.int64)
        self.left = model.available.reshape(-1, days).copy()
        shape = (crews, days, most + 1)
        self.before = np.broadcast_to(model.start[:, :, None], shape).copy()
        self.after = np.broadcast_to(model.home[:, None, None], shape).copy()
        self.legs = np.full(shape, -FAR, np.int64)
        self.legs[:, :, 0] = 0  # a day without stops drives nowhere

    @property
    def cost(self) -> int:
        """The cost of the plan in cents."""
        return int(self.day_cost.sum()) + sum(self.job_cost)

    def copy(self) -> Draft:
        """Return a draft that can be changed without changing this one."""
        other = object.__new__(Draft)
        other.model, other.tables = self.model, self.tables
        other.stops, other.arcs = self.stops.copy(), self.arcs.copy()
        other.job_cost = self.job_cost.copy()
        for name in ("used", "over", "day_cost", "free", "machines", "left"):
            setattr(other, name, getattr(self, name).copy())
        for name in ("before", "after", "legs"):
            setattr(other, name, getattr(self, name).copy())
        return other

    def remove(self, j: int) -> None:
        """Take a job out; it counts as left out."""
        for arc in self.arcs[j]:
            for day in arc.days:
                at = arc.crew * self.model.days + day
                self._set(arc.crew, day, tuple(e for e in self.stops[at] if e.job != j))
        self.arcs[j] = ()
        self.job_cost[j] = self.model.left_out_cost(j, 0)

    def put(self, j: int, arcs: tuple[Arc, ...]) -> None:
        """Add a job by these arcs, which must fit."""
        cost, crew = 0, -1
        for arc in arcs:
            self._add(j, arc)
            cost += arc.cost
            cost += self.model.problem.costs.handoff if crew not in (-1, arc.crew) else 0
            crew = arc.crew
        done = arcs[-1].until if arcs else 0
        if done < len(self.model.problem.jobs[j].steps):
            cost += self.model.left_out_cost(j, done)
        self.arcs[j] = arcs
        self.job_cost[j] = cost

    def insert(self, j: int) -> None:
        """Add a job by its cheapest path."""
        self.put(j, _Path(self, j).best())

    def _add(self, j: int, arc: Arc) -> None:
        doing = arc.doing
        if isinstance(doing, Stay):
            for day, parts, machines in zip(doing.days, doing.parts, doing.machines, strict=True):
                self._stop(arc.crew, day, self._entry(j, parts, machines))
            for day in doing.whole_days:
                self.free[arc.crew, day] = 0
        else:
            minutes = self.model.minutes[j]
            parts = tuple((i, int(minutes[i][arc.crew])) for i in range(doing.first, doing.until))
            self._stop(arc.crew, arc.day, self._entry(j, parts, doing.machines))

    def _entry(self, j: int, parts: tuple[tuple[int, int], ...], machines: int) -> Entry:
        work = sum(minutes for _, minutes in parts)
        setup = self.model.problem.jobs[j].setup_minutes
        return Entry(j, self.model.place[j], work + setup, machines, parts)

    def _stop(self, crew: int, day: int, entry: Entry) -> None:
        self._set(crew, day, (*self.stops[crew * self.model.days + day], entry))

    def _set(self, crew: int, day: int, stops: tuple[Entry, ...]) -> None:
        """Make these the stops of a crew-day, in the order of the shortest drive."""
        model, rates = self.model, self.model.problem.costs
        drive, stops = shortest_tour(model.travel, Ends(*model.ends(crew, day)), stops)
        self.stops[crew * model.days + day] = stops
        used = drive + sum(entry.minutes for entry in stops)
        over = max(0, used - int(model.usual[crew, day])) if stops else 0
        self.used[crew, day] = used if stops else 0
        self.over[crew, day] = over * rates.overtime_minute
        self.day_cost[crew, day] = (
            drive * rates.travel_minute + over * rates.overtime_minute + rates.crew_day
            if stops
            else 0
        )
        self.free[crew, day] = model.problem.max_stops - len(stops)
        self._take_machines(crew, day, stops)
        self._set_legs(crew, day, stops)

    def _take_machines(self, crew: int, day: int, stops: tuple[Entry, ...]) -> None:
        mask = 0
        for entry in stops:
            mask |= entry.machines
        before = int(self.machines[crew, day])
        for bit in range(len(self.left)):
            self.left[bit, day] += (before >> bit & 1) - (mask >> bit & 1)
        self.machines[crew, day] = mask

    def _set_legs(self, crew: int, day: int, stops: tuple[Entry, ...]) -> None:
        travel = self.model.travel
        start, home = self.model.ends(crew, day)
        way = [start, *(entry.place for entry in stops), home]
        count = len(stops) + 1
        self.before[crew, day, :count] = way[:-1]
        self.after[crew, day, :count] = way[1:]
        self.legs[crew, day, :count] = travel[way[:-1], way[1:]] if stops else 0
        self.legs[crew, day, count:] = -FAR

    def marginal(self, detour: Ints, minutes: Ints, machines: int) -> Ints:
        """Return by crew and day what a stop of so many minutes adds, NEVER where it is not fit."""
        model, rates = self.model, self.model.problem.costs
        full = self.used + detour + minutes
        fits = (full <= model.most) & (self.free > 0)
        for bit in range(len(self.left)):
            if machines >> bit & 1:
                fits &= (self.left[bit] > 0) | ((self.machines >> bit & 1) == 1)
        cost = (
            detour * rates.travel_minute
            + np.maximum(full - model.usual, 0) * rates.overtime_minute
            - self.over
            + rates.crew_day * (self.used == 0)
        )
        return np.where(fits, cost, NEVER)

    def detour(self, place: int) -> Ints:
        """Return by crew and day by how many minutes a stop there lengthens the drive."""
        travel = self.model.travel
        gaps = travel[:, place][self.before] + travel[place][self.after] - self.legs
        shortest: Ints = gaps.min(axis=2)
        return shortest

    def stay_costs(self, table: JobTable, j: int, detour: Ints) -> Ints:
        """Return for each stay of the job what it costs here, NEVER where it does not fit."""
        model = self.model
        empty = (self.used == 0) & (model.usual > 0)
        fits = empty[table.kind[:, None], table.whole_days].all(axis=1)
        cost = np.full(len(table.stays), NEVER, np.int64)
        setup = model.problem.jobs[j].setup_minutes
        for s in np.flatnonzero(fits):
            stay = table.stays[s]
            if self._machines_left(stay):
                at = (stay.kind, stay.rest_day)
                cost[s] = table.cost[s] + self._rest_cost(at, int(detour[at]), stay, setup)
        return cost

    def _machines_left(self, stay: Stay) -> bool:
        for day, mask in zip(stay.days, stay.machines, strict=True):
            missing = mask & ~int(self.machines[stay.kind, day])
            for bit in range(len(self.left)):
                if missing >> bit & 1 and self.left[bit, day] <= 0:
                    return False
        return True

    def _rest_cost(self, at: tuple[int, int], detour: int, stay: Stay, setup: int) -> int:
        rates, used = self.model.problem.costs, int(self.used[at])
        full = used + detour + setup + stay.rest_minutes
        if self.free[at] <= 0 or full > self.model.most[at]:
            return NEVER
        over = max(0, full - int(self.model.usual[at])) * rates.overtime_minute
        fixed = rates.crew_day if used == 0 else 0
        return detour * rates.travel_minute + over - int(self.over[at]) + fixed


class _Path:
    """The cheapest path of one job through a draft: steps done, day, crew of the last step."""

    def __init__(self, draft: Draft, j: int) -> None:
        self.draft, self.j, self.model = draft, j, draft.model
        self.table = draft.tables[j]
        self.detour = draft.detour(self.model.place[j])
        steps = len(self.model.problem.jobs[j].steps)
        shape = (len(self.model.crews), self.model.days + 1)
        self.start: list[Ints] = [np.zeros(shape, np.int64) for _ in range(steps + 1)]
        self.price: list[list[tuple[Run, Ints]]] = [[] for _ in range(steps)]
        self._price_arcs()

    def _price_arcs(self) -> None:
        """Gather by first step what each arc costs by crew and day, the end of its path apart."""
        setup = self.model.problem.jobs[self.j].setup_minutes
        for run in self.table.runs:
            minutes = run.minutes[:, None] + setup
            cost = run.cost + self.draft.marginal(self.detour, minutes, run.machines)
            self.price[run.first].append((run, cost))
        self.stay_cost = None
        if self.table.stays:
            self.stay_cost = self.draft.stay_costs(self.table, self.j, self.detour)

    def _rest_of_path(self, until: int, day: int) -> Ints:
        """Return by crew what the path costs on from an arc that ended on `day`."""
        if until == len(self.price):
            return np.zeros(len(self.model.crews), np.int64)
        ready = min(self.model.days, self.model.ready_after(self.j, until, day))
        rest: Ints = self.start[until][:, ready]
        return rest

    def best(self) -> tuple[Arc, ...]:
        """Return the arcs of the cheapest path, fewer than all steps where leaving out is."""
        handoff = self.model.problem.costs.handoff
        self.begun: list[Ints] = []
        for first in reversed(range(len(self.price))):
            begin = self._begin(first)
            own = np.minimum.accumulate(begin[:, ::-1], axis=1)[:, ::-1]
            out = self.model.left_out_cost(self.j, first)
            padded = np.full((len(begin), self.model.days + 1), out, np.int64)
            best = np.minimum(own, own.min(axis=0, initial=NEVER) + (handoff if first else 0))
            padded[:, :-1] = np.minimum(best, out)
            self.start[first] = padded
            self.begun.insert(0, begin)
        return self._trace()

    def _begin(self, first: int) -> Ints:
        """Return by crew and day the cheapest path that starts step `first` right then."""
        best = np.full((len(self.model.crews), self.model.days), NEVER, np.int64)
        for run, cost in self.price[first]:
            best = np.minimum(best, cost + self._after(run.until))
        for s, price in self._stays_from(first):
            stay = self.table.stays[s]
            crew, day = stay.kind, stay.days[0]
            onward = int(self._rest_of_path(stay.until, stay.days[-1])[crew])
            best[crew, day] = min(int(best[crew, day]), price + onward)
        return best

    def _stays_from(self, first: int) -> list[tuple[int, int]]:
        if self.stay_cost is None:
            return []
        fit = np.flatnonzero(self.stay_cost < NEVER)
        return [(int(s), int(self.stay_cost[s])) for s in fit if self.table.stays[s].first == first]

    def _after(self, until: int) -> Ints:
        """Return by crew and day what the path costs on from a run that ended that day."""
        if until == len(self.price):
            return np.zeros((len(self.model.crews), self.model.days), np.int64)
        lag = self.model.ready_after(self.j, until, 0)
        days = np.minimum(np.arange(self.model.days) + lag, self.model.days)
        onward: Ints = self.start[until][:, days]
        return onward

    def _trace(self) -> tuple[Arc, ...]:
        arcs: list[Arc] = []
        first, day, crew = 0, 0, -1
        while first < len(self.price) and day < self.model.days:
            arc = self._next(first, day, crew)
            if arc is None:
                break
            arcs.append(arc)
            first, crew = arc.until, arc.crew
            if first < len(self.price):
                day = self.model.ready_after(self.j, first, arc.days[-1])
        return tuple(arcs)

    def _next(self, first: int, day: int, crew: int) -> Arc | None:
        """Return the arc by which the cheapest path goes on, None where it leaves the rest out."""
        begin = self.begun[first][:, day:].copy()
        if not begin.size:
            return None
        if crew >= 0:
            others = np.arange(len(begin)) != crew
            begin[others] += self.model.problem.costs.handoff
        at, ahead = np.unravel_index(int(begin.argmin()), begin.shape)
        if begin[at, ahead] >= self.model.left_out_cost(self.j, first):
            return None
        return self._arc_at(first, int(at), day + int(ahead))

    def _arc_at(self, first: int, crew: int, day: int) -> Arc:
        target = int(self.begun[first][crew, day])
        for run, cost in self.price[first]:
            if int(cost[crew, day] + self._after(run.until)[crew, day]) == target:
                return Arc(crew, day, run)
        for s, cost_of_stay in self._stays_from(first):
            stay = self.table.stays[s]
            onward = int(self._rest_of_path(stay.until, stay.days[-1])[crew])
            if (stay.kind, stay.days[0]) == (crew, day) and cost_of_stay + onward == target:
                return Arc(crew, day, stay)
        raise AssertionError("a path's cost has no arc")
