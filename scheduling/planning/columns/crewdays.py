"""Finds the crew-days worth having at given gains of their pieces; knows no jobs and no solver.

A crew-day is a set of pieces, at most `max_stops`. Its profit is the gains of its pieces less
the shortest drive, overtime, the crew-day and the machines it takes along. All sets above a
threshold are found: a set is built up piece by piece and dropped only when no further pieces
that still fit could lift it there.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise, permutations
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from scheduling.planning.columns.model import Ints
from scheduling.planning.columns.pieces import Bools, Floats

Entry = TypeVar("Entry", np.int64, np.float64, np.bool_)

# The width of a class of minutes in the bound on what further pieces can add.
CLASS_MINUTES = 4
# How many candidate sets are looked at in one sweep of arrays.
SWEEP = 400_000
# The piece that stands for a stop to be joined.
STOP = -1
# More minutes than any drive takes.
UNREACHED = 10**9


@dataclass(frozen=True)
class Day:
    """One kind of crew on one day: its hours, its rates, its start, home and drives, in minutes.

    `is_symmetric`: a way and the same way back are equally long.
    """

    start: int
    home: int
    usual: int
    most: int
    travel: Ints
    shortcut: int
    max_stops: int
    travel_cost: float
    overtime_cost: float
    crew_day_cost: float
    is_symmetric: bool


@dataclass(frozen=True)
class Offers:
    """The pieces that could stand in a crew-day, one entry each.

    `piece` numbers them, `gain` in cents, `minutes` with set-up, `machines` as bits; `enters`
    and `leaves` mark stays that go on from the day before, to the day after.
    """

    piece: Ints
    job: Ints
    place: Ints
    minutes: Ints
    gain: Floats
    machines: Ints
    enters: Bools
    leaves: Bools

    def only(self, keep: Bools) -> Offers:
        """Return the entries that are marked."""
        return Offers(
            self.piece[keep],
            self.job[keep],
            self.place[keep],
            self.minutes[keep],
            self.gain[keep],
            self.machines[keep],
            self.enters[keep],
            self.leaves[keep],
        )

    def led_by_stop(self, job: int, place: int, minutes: int, machines: int) -> Offers:
        """Return the entries after one more, of a stop that brings nothing by itself."""
        return Offers(
            piece=_led(STOP, self.piece),
            job=_led(job, self.job),
            place=_led(place, self.place),
            minutes=_led(minutes, self.minutes),
            gain=_led(0.0, self.gain),
            machines=_led(machines, self.machines),
            enters=_led(False, self.enters),
            leaves=_led(False, self.leaves),
        )


@dataclass(frozen=True)
class FoundSets:
    """Sets of pieces of one size: `members` index the offers, `profit` in cents."""

    members: Ints
    profit: Floats


@dataclass(frozen=True)
class BestCompanions:
    """What can stand beside one more stop on a day.

    `most` is by minutes of all but the stop the most profit without overtime, minus infinity
    where there is no such set, `pieces` the set.
    """

    day: Day
    most: Floats
    pieces: dict[int, tuple[int, ...]]

    @cached_property
    def profit(self) -> Floats:
        """The most profit by minutes of the stop with set-up, minus infinity if it is too long."""
        day, minutes = self.day, np.arange(self.day.most + 1)
        within = np.maximum.accumulate(self.most)
        best = np.where(minutes <= day.usual, within[np.maximum(day.usual - minutes, 0)], -np.inf)
        for over in range(1, day.most - day.usual + 1):
            time = day.usual + over - minutes
            there = np.where(time >= 0, self.most[np.maximum(time, 0)], -np.inf)
            best = np.maximum(best, there - over * day.overtime_cost)
        return best

    def best(self, minutes: int) -> tuple[int, ...]:
        """Return the pieces that bring the most beside a stop of so many minutes."""
        room = np.arange(self.day.most - minutes + 1)
        over = np.maximum(room + minutes - self.day.usual, 0) * self.day.overtime_cost
        return self.pieces[int(np.argmax(self.most[: len(room)] - over))]


class Finder:
    """Finds all sets whose profit is above a threshold on one kind's day."""

    def __init__(self, day: Day, offers: Offers, machine_prices: Floats) -> None:
        self.day = day
        self.machine_prices = machine_prices
        there = day.travel[day.start, offers.place] + day.travel[offers.place, day.home]
        fits = offers.minutes + there - self._slack() <= day.most
        fits &= offers.gain > -day.shortcut * (day.travel_cost + day.overtime_cost) - 1e-9
        self.offers = offers.only(fits)
        self.there: Ints = there[fits]

    def above(self, threshold: float, margin: float = np.inf) -> list[FoundSets]:
        """Return all sets with a profit above the threshold, by size.

        With a `margin` only those are sure to be found that are within it of the best one.
        """
        if not len(self.offers.piece):
            return []
        self._keep_promising(threshold)
        return self._grown(np.arange(len(self.offers.piece))[:, None], threshold, margin)

    def _grown(self, sets: Ints, threshold: float, margin: float) -> list[FoundSets]:
        """Return what is above the threshold of these sets and all that grow out of them."""
        found: list[FoundSets] = []
        while len(sets) and sets.shape[1] <= self.day.max_stops:
            drive = self.drives(sets)
            profit, time = self._profits(sets, drive)
            good = (profit > threshold) & (time <= self.day.most)
            if good.any():
                threshold = max(threshold, float(profit[good].max()) - margin - 1e-6)
                good &= profit > threshold
            found.append(FoundSets(sets[good], profit[good]))
            if sets.shape[1] == self.day.max_stops:
                break
            sets = self._extend(sets, drive, threshold)
        return found

    def most_with(self, minutes: int, there: int) -> float:
        """Return the most that a crew-day can bring beside a stop that itself brings nothing.

        `minutes` are those of the stop with its set-up, `there` the drive there and back.
        """
        drive = max(there - self._slack(), 0)
        taken = np.array([minutes + drive])
        others = float(self._most_gain(self.day.max_stops - 1, taken)[0])
        loose = others - drive * self.day.travel_cost - self.day.crew_day_cost
        alone = -drive * self.day.travel_cost - self.day.crew_day_cost
        return min(loose, max(alone, self._most_profit(minutes)))

    def _most_profit(self, minutes: int) -> float:
        """Return the most profit of a set that leaves so many minutes and a stop free."""
        room = (self.day.most - minutes + self._slack()) // CLASS_MINUTES
        slack = self._slack() * (self.day.travel_cost + self.day.overtime_cost)
        return float(self.profit_by_class[max(room, 0)]) + slack if room >= 0 else -np.inf

    @cached_property
    def profit_by_class(self) -> Floats:
        """By class of minutes the most profit of sets with a stop free that fit in it."""
        best = np.full(self.day.most // CLASS_MINUTES + self._slack() + 2, -np.inf)
        if self.day.max_stops > 3:
            return np.full(len(best), np.inf)
        day = replace(self.day, max_stops=self.day.max_stops - 1)
        finder = Finder(day, self.offers, self.machine_prices)
        for each in finder.above(-self.day.crew_day_cost):
            drive = finder.drives(each.members)
            time = drive + finder.offers.minutes[each.members].sum(axis=1)
            np.maximum.at(best, time // CLASS_MINUTES, each.profit)
        return np.maximum.accumulate(best)

    def companions(self, job: int, place: int, least: int, machines: int = 0) -> BestCompanions:
        """Return what crew-days can bring with one more stop that itself brings nothing.

        The stop is of another job than those beside it; `least` are the fewest minutes that it
        can take, with set-up, `machines` what it needs as bits.
        """
        others = self.offers.only(self.offers.job != job)
        offers = others.led_by_stop(job, place, least, machines)
        finder = Finder(self.day, offers, self.machine_prices)
        # A set that is worse than the stop alone when it is short is so when it is long, too:
        # it has no less to drive, so that overtime comes no later.
        threshold = self._alone(place, least) - float(self.machine_prices[machines]) - 1.0
        finder._keep_promising(threshold)
        if not len(finder.offers.piece) or finder.offers.piece[0] != STOP:
            return BestCompanions(self.day, np.full(self.day.most + 1, -np.inf), {})
        return finder._companions(
            finder._grown(np.zeros((1, 1), np.int64), threshold, np.inf), least
        )

    def _companions(self, found: list[FoundSets], least: int) -> BestCompanions:
        """Return the best of these sets, of which the first offer is the stop, by their minutes."""
        most = np.full(self.day.most + 1, -np.inf)
        pieces: dict[int, tuple[int, ...]] = {}
        for each in found:
            time = self.drives(each.members) + self.offers.minutes[each.members].sum(axis=1)
            over = np.maximum(time - self.day.usual, 0) * self.day.overtime_cost
            profit, rest = each.profit + over, time - least
            for x in np.lexsort((-profit, rest)):
                minutes = int(rest[x])
                if profit[x] > most[minutes]:
                    most[minutes] = profit[x]
                    pieces[minutes] = tuple(self.offers.piece[each.members[x, 1:]].tolist())
        return BestCompanions(self.day, most, pieces)

    def _alone(self, place: int, minutes: int) -> float:
        """Return the profit of a stop that brings nothing, less what further stops could save."""
        day = self.day
        drive = int(day.travel[day.start, place] + day.travel[place, day.home])
        over = max(0, drive + minutes - day.usual)
        saved = self._slack() * (day.travel_cost + 2 * day.overtime_cost)
        return -drive * day.travel_cost - over * day.overtime_cost - day.crew_day_cost - saved

    def _slack(self) -> int:
        """Return by how many minutes further stops could shorten a drive."""
        return self.day.shortcut * (self.day.max_stops - 1)

    def _keep_promising(self, threshold: float) -> None:
        """Drop offers that no companions could lift above the threshold."""
        while True:
            others = self._most_gain(
                self.day.max_stops - 1,
                self.offers.minutes + self.there - self._slack(),
            )
            drive = np.maximum(self.there - self._slack(), 0) * self.day.travel_cost
            limit = self.offers.gain + others - drive - self.day.crew_day_cost
            keep = limit > threshold
            if keep.all():
                return
            self.offers, self.there = self.offers.only(keep), self.there[keep]
            del self.ladder  # it is of the offers that were
            if not keep.any():
                return

    @cached_property
    def ladder(self) -> list[Floats]:
        """By count and class of minutes the most gain that so many pieces can bring."""
        classes = self.day.most // CLASS_MINUTES + 2
        one = np.zeros(classes)
        at = np.minimum(self.offers.minutes // CLASS_MINUTES, classes - 1)
        np.maximum.at(one, at, self.offers.gain)
        one = np.maximum.accumulate(one)
        ladder = [np.zeros(classes), one]
        for _ in range(self.day.max_stops - 2):
            ladder.append(_best_sums(ladder[-1], one))
        return ladder

    def _most_gain(self, count: int, taken: Ints) -> Floats:
        """Return the most that `count` further pieces can bring net of overtime."""
        best = np.full(len(taken), 0.0)
        ladder = self.ladder[min(count, len(self.ladder) - 1)]
        for minutes, cost in self._steps():
            room = (minutes - taken) // CLASS_MINUTES
            gain = ladder[np.clip(room, 0, len(ladder) - 1)] - cost
            best = np.where(room >= 0, np.maximum(best, gain), best)
        return best

    def _steps(self) -> list[tuple[int, float]]:
        """Return lengths of day with the overtime that at least goes with a longer one."""
        steps = [(self.day.usual, 0.0)]
        for i in range(1, 4):
            over = (self.day.most - self.day.usual) * i // 3
            before = (self.day.most - self.day.usual) * (i - 1) // 3
            steps.append((self.day.usual + over, before * self.day.overtime_cost))
        return steps

    def drives(self, sets: Ints) -> Ints:
        """Return the shortest drive start, stops, home of each set."""
        travel, start, home = self.day.travel, self.day.start, self.day.home
        places = self.offers.place[sets]
        best = np.full(len(sets), UNREACHED, np.int64)
        for way in permutations(range(sets.shape[1])):
            if self.day.is_symmetric and way[0] > way[-1]:
                continue
            length = travel[start, places[:, way[0]]] + travel[places[:, way[-1]], home]
            for a, b in pairwise(way):
                length = length + travel[places[:, a], places[:, b]]
            best = np.minimum(best, length)
        return best

    def _profits(self, sets: Ints, drive: Ints) -> tuple[Floats, Ints]:
        offers, day = self.offers, self.day
        time = drive + offers.minutes[sets].sum(axis=1)
        over = np.maximum(time - day.usual, 0)
        masks = np.bitwise_or.reduce(offers.machines[sets], axis=1)
        profit = (
            offers.gain[sets].sum(axis=1)
            - drive * day.travel_cost
            - over * day.overtime_cost
            - day.crew_day_cost
            - self.machine_prices[masks]
        )
        return profit, time

    def _extend(self, sets: Ints, drive: Ints, threshold: float) -> Ints:
        """Return the sets with one more piece, of higher number, that may still be worth it."""
        offers, day = self.offers, self.day
        more = day.max_stops - sets.shape[1]
        taken = drive - day.shortcut * more + offers.minutes[sets].sum(axis=1)
        least_drive = np.maximum(drive - day.shortcut * more, 0) * day.travel_cost
        base = offers.gain[sets].sum(axis=1) - least_drive - day.crew_day_cost
        worth = base + self._most_gain(more, taken) > threshold
        sets, taken, base = sets[worth], taken[worth], base[worth]
        width = max(1, SWEEP // max(1, len(offers.piece)))
        grown = [
            self._grow(sets[i : i + width], taken[i : i + width], base[i : i + width], threshold)
            for i in range(0, len(sets), width)
        ]
        empty = np.empty((0, sets.shape[1] + 1), np.int64)
        return np.concatenate(grown) if grown else empty

    def _grow(self, sets: Ints, taken: Ints, base: Floats, threshold: float) -> Ints:
        offers = self.offers
        more = self.day.max_stops - sets.shape[1] - 1
        time = taken[:, None] + offers.minutes[None, :]
        fits = (time <= self.day.most) & (np.arange(len(offers.piece)) > sets[:, -1:])
        value = base[:, None] + offers.gain[None, :]
        over = np.maximum(time - self.day.usual, 0) * self.day.overtime_cost
        if more == 0:
            fits &= value - over > threshold
        rows, added = np.nonzero(fits)
        if more > 0:
            limit = value[rows, added] + self._most_gain(more, time[rows, added])
            keep = limit > threshold
            rows, added = rows[keep], added[keep]
        keep = self._go_together(sets[rows], added)
        return np.column_stack([sets[rows[keep]], added[keep]])

    def _go_together(self, sets: Ints, added: Ints) -> Bools:
        """Tell where the added piece is of another job and no second stay enters or leaves."""
        offers = self.offers
        keep = np.ones(len(added), bool)
        for column in sets.T:
            keep &= offers.job[column] != offers.job[added]
            keep &= ~(offers.enters[column] & offers.enters[added])
            keep &= ~(offers.leaves[column] & offers.leaves[added])
        return keep


def _led(first: float, rest: npt.NDArray[Entry]) -> npt.NDArray[Entry]:
    """Return the array after one more entry, of its own type."""
    return np.append(np.array([first], rest.dtype), rest)


def _best_sums(a: Floats, b: Floats) -> Floats:
    """Return by class of minutes the greatest sum of an entry of each that fits together.

    Minutes are rounded down to classes, so that two remainders may make up one class more.
    """
    size = len(a)
    room = np.arange(size)[:, None] - np.arange(size)[None, :]
    sums = a[None, :] + np.where(room >= 0, b[room], -np.inf)
    best: Floats = sums.max(axis=1)
    return best
