"""Stays with two days to share, too many to list: which of them can matter at given prices.

The rests of such a stay are those of different steps, and minutes can be moved from one to the
other. A *family* leaves open how many. What each rest costs on its day is known for all minutes
at once, so that the best division of a family is found exactly.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

import numpy as np

from scheduling.planning.columns.master import Chain
from scheduling.planning.columns.model import NEVER, Model, Stay
from scheduling.planning.columns.pieces import Floats, finish_of, whole_days_cost
from scheduling.planning.columns.prices import Companions, Market, Prices
from scheduling.planning.columns.stays import Work, divisions, stay_with, whole_minutes, works


@dataclass(frozen=True)
class Pair:
    """A stay with two rests, what it loses at least, and a price for the state in its middle."""

    stay: Stay
    loss: float
    middle: float


@dataclass(frozen=True)
class Family:
    """Two rests at positions `rests` of `days`; the minutes of the first are left open.

    `whole` are the minutes that fill each day, `cost` is the least that the job pays.
    """

    job: int
    kind: int
    work: Work
    days: tuple[int, ...]
    whole: tuple[int, ...]
    rests: tuple[int, int]
    cost: int

    @property
    def until(self) -> int:
        """The position after the last step."""
        return self.work.first + len(self.work.lengths)

    @property
    def rest_days(self) -> tuple[int, int]:
        """The two days that may be shared."""
        return self.days[self.rests[0]], self.days[self.rests[1]]

    @property
    def shared_minutes(self) -> int:
        """The minutes of both rests together, where no whole day falls short."""
        full = sum(m for x, m in enumerate(self.whole) if x not in self.rests)
        return self.work.total - full


class TimeUp(Exception):
    """What was asked could not be found out in time."""


class Pairs:
    """All families of a model, and those of their stays that lose little at given prices.

    Raises TimeUp where `over` says that time is up before all were looked at.
    """

    def __init__(self, model: Model, over: Callable[[], bool] = lambda: False) -> None:
        self.model = model
        self.over = over
        jobs, kinds = range(len(model.problem.jobs)), range(len(model.crews))
        self.families = [f for j in jobs for kind in kinds for f in _families(model, j, kind)]

    def losing_less(self, market: Market, prices: Prices, margin: float) -> list[Pair]:
        """Return all such stays that lose less than `margin` cents at sound prices.

        Those that the market knows are left out: it prices them itself.
        """
        known = set(market.pieces.pairs)
        return [
            pair
            for pair in self._losing_less(_Look(market, prices), margin)
            if pair.stay not in known
        ]

    def gaining(self, market: Market, prices: Prices) -> list[tuple[float, Chain]]:
        """Return such stays that gain at sound prices, with what they lose (below 0).

        Of those that differ in their minutes only, the one that gains most, with all that
        best shares its days.
        """
        look = _Look(market, prices)
        best: dict[tuple[object, ...], Pair] = {}
        for pair in self._losing_less(look, 0.0):
            key = _but_minutes(pair.stay)
            if key not in best or pair.loss < best[key].loss:
                best[key] = pair
        return [(pair.loss, look.chain(pair.stay)) for pair in best.values()]

    def _losing_less(self, look: _Look, margin: float) -> Iterator[Pair]:
        for family, divided in self._divided_below(look, margin):
            when = (family.days, family.rests)
            for amounts in divided:
                stay = stay_with(self.model, (family.job, family.kind), family.work, when, amounts)
                pair = look.pair(stay) if stay is not None else None
                if pair is not None and pair.loss < margin:
                    yield pair

    def _divided_below(
        self, look: _Look, margin: float
    ) -> Iterator[tuple[Family, list[tuple[int, ...]]]]:
        """Yield families with their divisions that lose less than `margin`."""
        least = self.model.problem.min_part_minutes
        for family in self.families:
            if self.over():
                raise TimeUp
            base = look.base(family)
            if base + look.rough_rests(family, (least, least)) < margin:
                divided = look.below(family, base, margin)
                if divided:
                    yield family, divided


def _but_minutes(stay: Stay) -> tuple[object, ...]:
    """Return all of a stay but how its minutes are divided."""
    who = (stay.job, stay.first, stay.until, stay.kind)
    return (*who, stay.days, stay.rests, stay.cost, stay.machines)


def _rest_minutes(stay: Stay) -> tuple[int, ...]:
    return tuple(sum(minutes for _, minutes in stay.parts[x]) for x in stay.rests)


class _Look:
    """What stays with two rests lose at some prices."""

    def __init__(self, market: Market, prices: Prices) -> None:
        self.market = market
        self.model = market.model
        self.prices = prices
        self.companions: Companions = market.companions(prices)
        self.state = np.append(prices.state, 0.0)
        self.carried = market.machine_sets(prices)

    def rest(self, stay: Stay, x: int) -> float:
        """Return the least that a rest costs on its day, whatever shares the day with it."""
        minutes = sum(minutes for _, minutes in stay.parts[x])
        costs = self.companions.costs(stay.job, stay.kind, stay.days[x], stay.machines[x])
        return float(costs[minutes]) if minutes < len(costs) else np.inf

    def chain(self, stay: Stay) -> Chain:
        """Return the stay with what makes its rests cost least."""
        first, second = (
            self.companions.pieces(stay.job, stay.kind, stay.days[x], stay.machines[x], minutes)
            for x, minutes in zip(stay.rests, _rest_minutes(stay), strict=True)
        )
        return Chain(stay, (first, second))

    def rough_rests(self, family: Family, minutes: Sequence[int]) -> float:
        """Return a lower bound, had at once, of what rests of so many minutes cost."""
        who = (family.job, family.kind)
        days = zip(family.rest_days, minutes, strict=True)
        return sum(self.companions.rough_cost(*who, day, rest) for day, rest in days)

    def below(self, family: Family, base: float, margin: float) -> list[tuple[int, ...]]:
        """Return the divisions of a family that lose less than `margin` when they pay the least."""
        least = self.model.problem.min_part_minutes
        short = (len(family.days) - 2) * (least - 1)
        one, two = (self._costs(family, x) for x in family.rests)
        minutes = np.arange(least, family.shared_minutes + short - least + 1)
        rest = np.maximum(least, family.shared_minutes - minutes)
        low = minutes[base + one[minutes] + two[rest] < margin]
        # Days that fall short make a rest longer than what was tried.
        tried = sorted({m for x in low.tolist() for m in range(max(1, x - short), x + 1)})
        first, second = family.rests
        return [
            amounts
            for minutes_tried in tried
            for amounts in _divided(family.work, family.whole, family.rests, least, minutes_tried)
            if base + one[amounts[first]] + two[amounts[second]] < margin
        ]

    def _costs(self, family: Family, x: int) -> Floats:
        """Return what a rest costs at least by its minutes, up to all that a family shares.

        Its machines are known where it is the first day or the last one.
        """
        step = {0: family.work.first, len(family.days) - 1: family.until - 1}.get(x)
        kind = self.model.problem.jobs[family.job].steps[step].machine if step is not None else None
        machines = self.model.machine_bit.get(kind or "", 0)
        costs = self.companions.costs(family.job, family.kind, family.days[x], machines)
        missing = max(0, family.work.total + 1 - len(costs))
        return np.append(costs, np.full(missing, np.inf))

    def base(self, family: Family) -> float:
        """Return what a family loses at least, its rests apart."""
        whole = [day for x, day in enumerate(family.days) if x not in family.rests]
        lone = whole_days_cost(self.model, family.job, family.kind, whole)
        days = lone + sum(float(self.prices.day[family.kind, day]) for day in whole)
        ends = (family.days[0], family.days[-1])
        return (
            family.cost
            + days
            - self._gain(family.job, family.kind, family.work.first, family.until, ends)
        )

    def pair(self, stay: Stay) -> Pair:
        """Return the stay with its loss, and the price of its middle at which its start is even."""
        cost = [0.0, 0.0]
        for x, day in enumerate(stay.days):
            half = int(x > stay.rests[0])
            if x in stay.rests:
                cost[half] += self.rest(stay, x)
            else:
                price = float(self.prices.day[stay.kind, day] + self.carried[stay.machines[x], day])
                lone = whole_days_cost(self.model, stay.job, stay.kind, [day])
                cost[half] += lone + price
        ends = (stay.days[0], stay.days[-1])
        gain = self._gain(stay.job, stay.kind, stay.first, stay.until, ends)
        states = self.market.pieces.states
        start = float(self.state[states.at[stay.job][stay.first][ends[0]]])
        start += self._keep(stay.job, stay.first, stay.kind)
        return Pair(stay, stay.cost + sum(cost) - gain, start - stay.cost - cost[0])

    def _gain(self, job: int, kind: int, first: int, until: int, ends: tuple[int, int]) -> float:
        states = self.market.pieces.states
        start = int(states.at[job][first][ends[0]])
        if start < 0:
            return -float(NEVER)
        finish, out = finish_of(self.model, states, job, until, ends[1])
        gain = float(self.state[start] - self.state[finish]) - out + self._keep(job, first, kind)
        return gain - (self._keep(job, until, kind) if finish != states.end else 0.0)

    def _keep(self, job: int, step: int, kind: int) -> float:
        boundary = int(self.market.boundary[job, step])
        return float(self.prices.keep[boundary, kind]) if boundary >= 0 else 0.0


def jobs_with_three_rests(model: Model) -> list[int]:
    """Return the jobs that might have a stay with three days to share.

    It has two whole days at least, four cuts, and thus four divided steps without a lag.
    """
    return [
        j
        for j in range(len(model.problem.jobs))
        if any(_may_have_three(model, j, kind) for kind in range(len(model.crews)))
    ]


def _may_have_three(model: Model, j: int, kind: int) -> bool:
    if len(model.working_days[kind]) < 5:
        return False
    shortest = max(0, min(whole_minutes(model, j, kind)))
    return any(
        len(work.lengths) >= 4 and work.total > 2 * shortest for work in works(model, j, kind)
    )


def _families(model: Model, j: int, kind: int) -> Iterator[Family]:
    full = whole_minutes(model, j, kind)
    for work in works(model, j, kind):
        if len(work.lengths) < 2:
            continue
        for start in range(len(model.working_days[kind]) - 2):
            days = model.working_days[kind][start:]
            yield from _from_day(model, (j, kind), work, days, full[start:])


def _from_day(
    model: Model, doer: tuple[int, int], work: Work, days: Sequence[int], whole: Sequence[int]
) -> Iterator[Family]:
    j, kind = doer
    setup, least = model.problem.jobs[j].setup_minutes, model.problem.min_part_minutes
    for count in range(3, len(days) + 1):
        short = (count - 2) * (least - 1)
        if sum(sorted(whole[:count])[: count - 2]) + 2 * least > work.total + short:
            continue
        cost = _least_cost(model, doer, work, days[:count])
        for rests in combinations(range(count), 2):
            chosen = (tuple(days[:count]), tuple(whole[:count]), rests)
            family = Family(j, kind, work, *chosen, cost)
            room = sum(int(model.most[kind, days[x]]) - setup for x in rests)
            full = [minutes for x, minutes in enumerate(family.whole) if x not in rests]
            if rests[1] - rests[0] < 2 or min(full) < 1 or cost >= NEVER:
                continue
            if 2 * least - short <= family.shared_minutes <= room:
                yield family


def _least_cost(model: Model, doer: tuple[int, int], work: Work, days: Sequence[int]) -> int:
    """Return the least that the job pays when its first step starts on the first of the days."""
    j, kind = doer
    until = work.first + len(work.lengths)
    costs = model.step_cost[j][work.first : until, kind]
    cost = int(costs[0, days[0]]) + int(costs[1:, list(days)].min(axis=1).sum())
    ends = until == len(model.problem.jobs[j].steps)
    return cost + (model.end_cost(j, days[-1]) if ends else 0)


@lru_cache(maxsize=1 << 18)
def _divided(
    work: Work, whole: tuple[int, ...], rests: tuple[int, int], least: int, minutes: int
) -> tuple[tuple[int, ...], ...]:
    """Return the allowed divisions when the first rest is tried with so many minutes.

    The same for most first days and for crews of one pace, so kept.
    """
    first, second = rests
    open_rest = {first: minutes, second: None}
    return tuple(divisions(work, whole, open_rest, least))
