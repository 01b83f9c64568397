"""Solves the relaxation by finding crew-days at ever better prices; knows no plan.

The bound holds at any prices, so that it can be stopped at any moment.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from scheduling.planning.columns.crewdays import FoundSets
from scheduling.planning.columns.master import Chain, CrewDay, Master
from scheduling.planning.columns.model import Ints
from scheduling.planning.columns.prices import Market, Prices
from scheduling.planning.processes import AnswerWorker

# Crew-days further from the best of their day than this, in cents, are not looked at.
MARGIN = 10_000.0
# At most so many new crew-days of one kind on one day in one round, no piece in two of them:
# unlike ones tell the relaxation more than variants of the best.
PER_DAY = 16
# So many of the best sets of one size are looked through for them.
LOOKED_THROUGH = 400
# The relaxation counts as solved when its value is so near to the bound.
NEAR = 1e-6


@dataclass(frozen=True)
class Sweep:
    """One look at every kind's day at some prices: the bound there, and crew-days worth having."""

    bound: float
    crew_days: list[CrewDay]


@dataclass(frozen=True)
class Listing:
    """All crew-days that lose at most `margin` cents at some prices."""

    margin: float
    crew_days: list[CrewDay]


class Relaxation:
    """The relaxation of a market's problem, its greatest bound and the prices that prove it."""

    def __init__(self, market: Market, over: Callable[[], bool]) -> None:
        self.market = market
        self.over = over
        self.master = Master(market, over)
        self.bound = -np.inf
        self.prices: Prices | None = None
        self.value = np.inf
        self.settled = False
        self.worker: AnswerWorker | None = None

    def begin_worker(self) -> None:
        """Let a copy of this process do half of the pricing from now on."""
        self.worker = AnswerWorker(lambda question: look_at(self.market, *question))

    def end_worker(self) -> None:
        """Do all of the pricing here again."""
        if self.worker:
            self.worker.stop()
            self.worker = None

    def round(self, seconds: float) -> bool:
        """Do one round of relaxing and pricing; tell whether there is more to do."""
        solved = self.master.solve(seconds)
        if solved is None:
            return False
        self.value, latest = solved
        prices = self.market.sound(latest)
        sweep = sweep_at(self.market, prices, self.worker)
        if sweep.bound > self.bound:
            self.bound, self.prices = sweep.bound, prices
        added = self.master.add(sweep.crew_days)
        near = self.value - self.bound <= max(0.5, NEAR * abs(self.value))
        self.settled = near or added == 0
        return not self.settled

    def add_chains(self, chains: Iterable[Chain]) -> bool:
        """Take in stays with two rests and what shares their days; tell whether any were new."""
        added = self.master.add_chains(chains)
        if added:
            self.settled = False
        return added > 0

    def extended(self, market: Market, middles: Sequence[float], bound: float) -> Relaxation:
        """Return this relaxation over a market with more stays with two rests.

        `middles` are the prices of the new states, `bound` what is proven at all prices.
        """
        other = Relaxation(market, self.over)
        if self.prices is not None:
            prices = replace(self.prices, state=np.append(self.prices.state, middles))
            other.prices, other.bound = market.sound(prices), bound
        other.master.add(self.master.crew_days)
        other.master.add_chains(self.master.chains)
        return other

    def within(self, margin: float, most: int, over: Callable[[], bool]) -> Listing | None:
        """Return all crew-days that lose at most `margin` at the prices of the bound.

        None where there are more than `most`, or where `over` says that time is up.
        """
        if self.prices is None:
            return None
        gains = self.market.gains(self.prices)
        crew_days: list[CrewDay] = []
        for kind, day in working(self.market):
            if over():
                return None
            finder = self.market.finder(gains, self.prices, kind, day)
            price = float(self.prices.day[kind, day])
            for each in finder.above(price - margin):
                pieces = np.sort(finder.offers.piece[each.members], axis=1)
                crew_days += [CrewDay(kind, day, tuple(row)) for row in pieces.tolist()]
            if len(crew_days) > most:
                return None
        return Listing(margin, crew_days)


def working(market: Market) -> Iterable[tuple[int, int]]:
    """Yield every kind and day on which the kind works."""
    usual = market.model.usual
    return ((int(kind), int(day)) for kind, day in np.argwhere(usual > 0))


Days = Sequence[tuple[int, int]]


def sweep_at(market: Market, prices: Prices, worker: AnswerWorker | None = None) -> Sweep:
    """Return the bound at sound prices, and the best crew-days where some gain too much.

    A worker looks at every other kind's day; what is found is the same without one.
    """
    days = list(working(market))
    mine, others = (days[::2], days[1::2]) if worker else (days, [])
    if worker:
        worker.ask((prices, others))
    looks = look_at(market, prices, mine)
    if worker:
        try:
            looks |= worker.answer()
        except EOFError:
            looks |= look_at(market, prices, others)
    bound, crew_days = market.value(prices), []
    for kind, day in days:
        gained, found = looks[kind, day]
        bound -= int(market.model.count[kind]) * gained
        crew_days += [CrewDay(kind, day, pieces) for pieces in found]
    return Sweep(bound, crew_days)


def look_at(
    market: Market, prices: Prices, days: Days
) -> dict[tuple[int, int], tuple[float, list[tuple[int, ...]]]]:
    """Return by kind and day how far the best crew-day gains more than it costs, and the best."""
    gains, looks = market.gains(prices), {}
    for kind, day in days:
        finder = market.finder(gains, prices, kind, day)
        price = float(prices.day[kind, day])
        found = finder.above(price, MARGIN)
        best = max((float(each.profit.max(initial=price)) for each in found), default=price)
        looks[kind, day] = (best - price, _unlike(finder.offers.piece, found))
    return looks


def _unlike(piece: Ints, found: Iterable[FoundSets]) -> list[tuple[int, ...]]:
    """Return the pieces of the best sets, no piece in two of them."""
    ranked: list[tuple[float, tuple[int, ...]]] = []
    for each in found:
        order = np.argsort(-each.profit, kind="stable")[:LOOKED_THROUGH]
        members = np.sort(piece[each.members[order]], axis=1).tolist()
        ranked += zip((-each.profit[order]).tolist(), map(tuple, members), strict=True)
    chosen: list[tuple[int, ...]] = []
    taken: set[int] = set()
    for _, pieces in sorted(ranked):
        if taken.isdisjoint(pieces):
            taken.update(pieces)
            chosen.append(pieces)
            if len(chosen) == PER_DAY:
                break
    return chosen
