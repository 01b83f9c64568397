"""Prices of states, crew-days, machines and hand-offs, and the bound they prove; no solver.

Give every state a price, what a job in it is worth: the most that going on from there may
cost. A piece gains the price of the state it leaves less that of the state it reaches and what
its job pays. If no crew-day's gains exceed its cost and the price of the crew's day, then no
plan is cheaper than the prices of all jobs' first states less those of all days and machines.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from scheduling.planning.columns.crewdays import BestCompanions, Day, Finder, Offers
from scheduling.planning.columns.model import Ints, Model
from scheduling.planning.columns.pieces import LOCKED, Bools, Floats, Pieces

# Prices are rounded to this share of a cent, a power of two: then sums of them are exact.
GRAIN = 64.0


@dataclass(frozen=True)
class Prices:
    """`state` by state; `day` by kind and day; `machine` by machine and day; `keep` by
    boundary between steps and kind: what it is worth that the same kind goes on.
    """

    state: Floats
    day: Floats
    machine: Floats
    keep: Floats

    def towards(self, other: Prices, share: float) -> Prices:
        """Return prices that lie between these and others, at `share` of the way."""
        return Prices(
            *(
                (1 - share) * mine + share * theirs
                for mine, theirs in (
                    (self.state, other.state),
                    (self.day, other.day),
                    (self.machine, other.machine),
                    (self.keep, other.keep),
                )
            )
        )


@dataclass(frozen=True)
class Gains:
    """What each piece gains at some prices: runs by (run, kind, day), stays one entry each."""

    runs: Floats
    stays: Floats


class Market:
    """The pieces of a model made ready to be priced again and again."""

    def __init__(self, pieces: Pieces) -> None:
        self.pieces = pieces
        self.model: Model = pieces.model
        self.boundary = _boundaries(pieces)
        self.boundaries = int(self.boundary.max(initial=-1)) + 1
        self.is_symmetric = bool((self.model.travel == self.model.travel.T).all())
        self._place = np.array(self.model.place, np.int64)
        self._stays_at = self._group_stays()
        self._whole = self._whole_days()

    @cached_property
    def fixed_cost(self) -> float:
        """The cents for jobs of which no step can ever start."""
        lost = [j for j, s in enumerate(self.pieces.states.first) if s < 0]
        return float(sum(min(self.model.left_out_cost(j, 0), LOCKED) for j in lost))

    def masks(self) -> range:
        """Return every set of machine kinds as bits."""
        return range(1 << len(self.model.machine_bit))

    def sound(self, prices: Prices) -> Prices:
        """Return prices as near as can be at which waiting and leaving out gain nothing."""
        states, model = self.pieces.states, self.model
        day, machine = (_grains(np.maximum(p, 0)) for p in (prices.day, prices.machine))
        keep = _grains(np.clip(prices.keep, 0, model.problem.costs.handoff))
        most = np.append(keep.max(axis=1, initial=0), 0.0)[self.boundary[states.job, states.step]]
        price = np.minimum(_grains(prices.state), states.out - most)
        for s in range(states.end - 1, -1, -1):
            price[s] = min(price[s], price[states.later[s]])
        return Prices(price, day, machine, keep)

    def gains(self, prices: Prices) -> Gains:
        """Return what each piece gains at these prices."""
        p = self.pieces
        price = np.append(prices.state, 0.0)
        keep = np.vstack([prices.keep, np.zeros((1, len(self.model.crews)))])
        runs = (price[p.run_start] - price[p.run_finish])[:, None, :] - p.run_cost
        runs += keep[self.boundary[p.run_job, p.run_first]][:, :, None]
        goes_on = (p.run_finish != p.states.end)[:, None, :]
        runs -= keep[self.boundary[p.run_job, p.run_until]][:, :, None] * goes_on
        stays = price[p.stay_start] - price[p.stay_finish] - p.stay_cost
        stays += keep[self.boundary[p.stay_job, p.stay_first], p.stay_kind]
        reached = keep[self.boundary[p.stay_job, p.stay_until], p.stay_kind]
        stays -= reached * (p.stay_finish != p.states.end)
        carried = self.machine_sets(prices)
        for stay, day, mask in self._whole:
            kind = p.stay_kind[stay]
            stays[stay] -= prices.day[kind, day] + carried[mask, day]
        return Gains(runs, stays)

    def machine_sets(self, prices: Prices) -> Floats:
        """Return the price of each set of machines by set and day."""
        bits = range(len(self.model.machine_bit))
        sets = np.zeros((len(self.masks()), self.model.days))
        for mask in self.masks():
            for bit in bits:
                if mask >> bit & 1:
                    sets[mask] += prices.machine[bit]
        return sets

    def finder(self, gains: Gains, prices: Prices, kind: int, day: int) -> Finder:
        """Return the finder of crew-days for one kind of crew on one day at these prices."""
        return Finder(
            self._day(kind, day),
            self._offers(gains, kind, day),
            self.machine_sets(prices)[:, day],
        )

    def companions(self, prices: Prices) -> Companions:
        """Return what a rest costs on each day at sound prices, whatever shares the day."""
        return Companions(self, prices)

    def value(self, prices: Prices) -> float:
        """Return the bound at sound prices as if no crew-day gained more than it costs."""
        states, model = self.pieces.states, self.model
        first = states.first[states.first >= 0]
        return float(
            prices.state[first].sum()
            + self.fixed_cost
            - (prices.day * model.count[:, None]).sum()
            - (prices.machine * model.available.reshape(prices.machine.shape)).sum()
        )

    def _day(self, kind: int, day: int) -> Day:
        model, rates = self.model, self.model.problem.costs
        return Day(
            start=int(model.start[kind, day]),
            home=int(model.home[kind]),
            usual=int(model.usual[kind, day]),
            most=int(model.most[kind, day]),
            travel=model.travel,
            shortcut=model.shortcut,
            max_stops=model.problem.max_stops,
            travel_cost=float(rates.travel_minute),
            overtime_cost=float(rates.overtime_minute),
            crew_day_cost=float(rates.crew_day),
            is_symmetric=self.is_symmetric and len(set(model.ends(kind, day))) == 1,
        )

    def _offers(self, gains: Gains, kind: int, day: int) -> Offers:
        p = self.pieces
        r = np.flatnonzero(p.run_fits[:, kind, day])
        s = self._stays_at.get((kind, day), np.empty(0, np.int64))
        job = np.concatenate([p.run_job[r], p.stay_job[s]])
        none: Bools = np.zeros(len(r), bool)
        return Offers(
            piece=np.concatenate([r, p.runs + s]),
            job=job,
            place=self._place[job],
            minutes=np.concatenate([p.run_minutes[r, kind], p.stay_minutes[s]]),
            gain=np.concatenate([gains.runs[r, kind, day], gains.stays[s]]),
            machines=np.concatenate([p.run_mask[r], p.stay_mask[s]]),
            enters=np.concatenate([none, p.stay_in[s]]),
            leaves=np.concatenate([none, p.stay_out[s]]),
        )

    def _group_stays(self) -> dict[tuple[int, int], Ints]:
        p = self.pieces
        groups: dict[tuple[int, int], list[int]] = {}
        for s in np.flatnonzero(p.stay_fits):
            groups.setdefault((int(p.stay_kind[s]), int(p.stay_day[s])), []).append(int(s))
        return {key: np.array(stays, np.int64) for key, stays in groups.items()}

    def _whole_days(self) -> list[tuple[Ints, Ints, Ints]]:
        """Return arrays of stay, day and machines: first of all first whole days, then seconds."""
        rows: list[list[tuple[int, int, int]]] = []
        for s, span in enumerate(self.pieces.span_list):
            for n, x in enumerate(span.whole):
                if n == len(rows):
                    rows.append([])
                rows[n].append((s, span.stay.days[x], span.stay.machines[x]))
        arrays = [np.array(each, np.int64).T for each in rows]
        return [(each[0], each[1], each[2]) for each in arrays]


class Companions:
    """The least cost of one more stop on each kind's day, whatever else is there."""

    def __init__(self, market: Market, prices: Prices) -> None:
        self.market = market
        self.prices = prices
        self.gains = market.gains(prices)
        self._finders: dict[tuple[int, int], Finder] = {}
        self._known: dict[tuple[int, int, int, int], BestCompanions] = {}

    def rough_cost(self, job: int, kind: int, day: int, minutes: int) -> float:
        """Return a lower bound, had at once, of the cost of a stop of so many minutes of work."""
        if (kind, day) not in self._finders:
            finder = self.market.finder(self.gains, self.prices, kind, day)
            self._finders[kind, day] = finder
        there = int(self.market.model.round_trip(job)[kind, day])
        beside = self._finders[kind, day].most_with(minutes + self._setup(job), there)
        return float(self.prices.day[kind, day]) - beside

    def costs(self, job: int, kind: int, day: int, machines: int = 0) -> Floats:
        """Return the least cost in cents of a stop by its minutes of work.

        Exact from `min_part_minutes` on; infinite where the stop does not fit. `machines` are
        those that the stop needs, as bits.
        """
        beside = self._companions(job, kind, day, machines)
        return float(self.prices.day[kind, day]) - beside.profit[self._setup(job) :]

    def pieces(self, job: int, kind: int, day: int, machines: int, minutes: int) -> tuple[int, ...]:
        """Return the pieces beside a stop of so many minutes of work that make it cost least."""
        return self._companions(job, kind, day, machines).best(minutes + self._setup(job))

    def _companions(self, job: int, kind: int, day: int, machines: int) -> BestCompanions:
        key = (job, kind, day, machines)
        if key not in self._known:
            model = self.market.model
            finder = self.market.finder(self.gains, self.prices, kind, day)
            least = self._setup(job) + model.problem.min_part_minutes
            self._known[key] = finder.companions(job, model.place[job], least, machines)
        return self._known[key]

    def _setup(self, job: int) -> int:
        return self.market.model.problem.jobs[job].setup_minutes


def _boundaries(pieces: Pieces) -> Ints:
    """Return by job and step the number of the boundary before the step, -1 where none is."""
    states = pieces.states
    steps = max((len(job.steps) for job in pieces.model.problem.jobs), default=0) + 1
    number = np.full((len(states.first), steps), -1, np.int64)
    count = 0
    for j, i in sorted(set(zip(states.job.tolist(), states.step.tolist(), strict=True))):
        if i > 0:
            number[j, i] = count
            count += 1
    return number


def _grains(values: Floats) -> Floats:
    rounded: Floats = np.round(values * GRAIN) / GRAIN
    return rounded
