"""Stays with two days to share, too many to list: which of them can matter at given prices.

The rests of such a stay are those of different steps, and minutes can be moved from one to the
other. A *family* leaves open how many; it is looked at in classes of minutes first, each as if
either rest were as short as its class allows, and in minutes only where that may be worth it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from scheduling.planning.model import NEVER, Model, Stay
from scheduling.planning.pieces import finish_of, whole_day_cost
from scheduling.planning.prices import Companions, Market, Prices
from scheduling.planning.stays import Work, divisions, stay_with, works

# The width of a class of minutes.
CLASS_MINUTES = 16


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
    def shared_minutes(self) -> int:
        """The minutes of both rests together, where no whole day falls short."""
        full = sum(m for x, m in enumerate(self.whole) if x not in self.rests)
        return self.work.total - full


class Pairs:
    """All families of a model, with an entry for each class of minutes of the first rest."""

    def __init__(self, model: Model, over: Callable[[], bool] = lambda: False) -> None:
        self.model = model
        self.over = over
        self.smallest = model.problem.min_part_minutes
        jobs, kinds = range(len(model.problem.jobs)), range(len(model.crews))
        self.families = [f for j in jobs for kind in kinds for f in _families(model, j, kind)]
        self.entries = [
            (family, low)
            for family in self.families
            for low in range(self.smallest, self._most_first(family) + 1, CLASS_MINUTES)
        ]

    def rough_losses(self, market: Market, prices: Prices) -> dict[int, float]:
        """Return by job a lower bound of what any such stay loses, where below 0."""
        losses: dict[int, float] = {}
        for (family, _), loss in self._losses(_Look(market, prices), 0.0, False).items():
            losses[family.job] = min(loss, losses.get(family.job, 0.0))
        return losses

    def _losses(self, look: _Look, margin: float, exactly: bool) -> dict[tuple[Family, int], float]:
        base = {id(family): look.base(family) for family in self.families}
        found: dict[tuple[Family, int], float] = {}
        for family, low in self.entries:
            apart = base[id(family)]
            exactly = exactly and not self.over()
            if apart < margin:
                rests = self._rests(look, family, low, margin - apart, exactly)
                if apart + rests < margin:
                    found[family, low] = apart + rests
        return found

    def worth(
        self, market: Market, prices: Prices, margin: float, most: int
    ) -> tuple[list[Pair], float]:
        """Return all such stays that lose less than `margin` at sound prices, and `margin`.

        Those that the market knows are left out: it prices them itself. Where more than `most`
        classes of minutes would have to be looked at, only the worst of each job, kind and day
        come back, each with both rests as short as its class allows; and instead of `margin`
        the least that any of them loses.
        """
        look = _Look(market, prices)
        known = set(market.pieces.pairs)
        open_classes = {
            (family, low): loss
            for (family, low), loss in self._losses(look, margin, True).items()
            if self._shortest(family, low) not in known
        }
        if len(open_classes) > most or self.over():
            if not open_classes:
                return [], margin
            return list(self._worst(look, open_classes)), min(open_classes.values())
        found: dict[Stay, Pair] = {}
        for family, low in open_classes:
            for stay in _members(self.model, family, low):
                pair = look.pair(stay)
                if pair.loss < margin and stay not in known:
                    found[stay] = pair
        return list(found.values()), margin

    def _worst(
        self, look: _Look, open_classes: Mapping[tuple[Family, int], float]
    ) -> Iterator[Pair]:
        """Yield for each start and end the class that loses least, as a stay of no less use."""
        worst: dict[tuple[int, ...], tuple[float, Family, int]] = {}
        for (family, low), loss in open_classes.items():
            ends = (family.days[0], family.days[-1])
            key = (family.job, family.work.first, family.until, family.kind, *ends)
            if key not in worst or loss < worst[key][0]:
                worst[key] = (loss, family, low)
        for _, family, low in worst.values():
            yield look.pair(self._shortest(family, low))

    def _shortest(self, family: Family, low: int) -> Stay:
        """Return a stay that is at least as good as any of a class: no plan, but a bound."""
        minutes = dict(zip(family.rests, (low, self._second(family, low)), strict=True))
        parts = tuple(
            ((family.work.first, minutes[x]),) if x in minutes else ()
            for x in range(len(family.days))
        )
        nothing = (0,) * len(family.days)
        who = (family.job, family.work.first, family.until, family.kind)
        return Stay(*who, family.days, parts, family.rests, family.cost, nothing)

    def _most_first(self, family: Family) -> int:
        """Return the most minutes of the first rest: whole days may fall short for both rests."""
        short = (len(family.days) - 2) * (self.smallest - 1)
        return family.shared_minutes + short - self.smallest

    def _second(self, family: Family, low: int) -> int:
        return max(self.smallest, family.shared_minutes - low - CLASS_MINUTES + 1)

    def _rests(self, look: _Look, family: Family, low: int, enough: float, exactly: bool) -> float:
        """Return the least that both rests of a class cost; at least `enough` is enough said."""
        second = self._second(family, low)
        days = [family.days[x] for x in family.rests]
        one, two = (
            (family.job, family.kind, d, m) for d, m in zip(days, (low, second), strict=True)
        )
        costs = look.companions
        cost, other = costs.rough_cost(*one), costs.rough_cost(*two)
        if not exactly or cost + other >= enough:
            return cost + other
        cost = costs.exact_cost(one, enough - other)
        if cost + other >= enough:
            return cost + other
        return cost + costs.exact_cost(two, enough - cost)


class _Look:
    """What stays with two rests lose at some prices."""

    def __init__(self, market: Market, prices: Prices) -> None:
        self.market = market
        self.model = market.model
        self.prices = prices
        self.companions: Companions = market.companions(prices)
        self.state = np.append(prices.state, 0.0)
        self.carried = market.machine_sets(prices)

    def rest(self, job: int, kind: int, day: int, minutes: int) -> float:
        """Return the least that a rest costs on a day, whatever shares the day with it."""
        return self.companions.exact_cost((job, kind, day, minutes), float(NEVER))

    def base(self, family: Family) -> float:
        """Return what a family loses at least, its rests apart."""
        whole = [day for x, day in enumerate(family.days) if x not in family.rests]
        lone = whole_day_cost(self.model, family.job, family.kind)
        days = sum(lone + float(self.prices.day[family.kind, day]) for day in whole)
        ends = (family.days[0], family.days[-1])
        return (
            family.cost
            + days
            - self._gain(family.job, family.kind, family.work.first, family.until, ends)
        )

    def pair(self, stay: Stay) -> Pair:
        """Return the stay with its loss, and the price of its middle at which its start is even."""
        lone = whole_day_cost(self.model, stay.job, stay.kind)
        cost = [0.0, 0.0]
        for x, day in enumerate(stay.days):
            half = int(x > stay.rests[0])
            if x in stay.rests:
                minutes = sum(m for _, m in stay.parts[x])
                cost[half] += self.rest(stay.job, stay.kind, day, minutes)
            else:
                price = float(self.prices.day[stay.kind, day] + self.carried[stay.machines[x], day])
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
    outside = model.problem.jobs[j].setup_minutes + int(model.round_trip(j)[kind])
    days = model.working_days[kind]
    if len(days) < 5:
        return False
    shortest = max(0, min(int(model.usual[kind, day]) for day in days) - outside)
    return any(
        len(work.lengths) >= 4 and work.total > 2 * shortest for work in works(model, j, kind)
    )


def _families(model: Model, j: int, kind: int) -> Iterator[Family]:
    outside = model.problem.jobs[j].setup_minutes + int(model.round_trip(j)[kind])
    for work in works(model, j, kind):
        if len(work.lengths) < 2:
            continue
        for start in range(len(model.working_days[kind]) - 2):
            days = model.working_days[kind][start:]
            whole = [int(model.usual[kind, day]) - outside for day in days]
            yield from _from_day(model, (j, kind), work, days, whole)


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


def _members(model: Model, family: Family, low: int) -> Iterator[Stay]:
    """Yield the stays of a family whose first rest is in the class of minutes from `low` on."""
    first, second = family.rests
    least = model.problem.min_part_minutes
    seen: set[tuple[int, ...]] = set()
    for minutes in range(max(1, low - 2 * least), low + CLASS_MINUTES):
        rests = {first: minutes, second: None}
        for amounts in divisions(family.work, family.whole, rests, least):
            if amounts in seen or not low <= amounts[first] < low + CLASS_MINUTES:
                continue
            seen.add(amounts)
            when = (family.days, family.rests)
            stay = stay_with(model, (family.job, family.kind), family.work, when, amounts)
            if stay is not None:
                yield stay
