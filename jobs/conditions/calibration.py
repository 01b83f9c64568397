"""Stated chances set right by past visits; must not know rows or what the chances are of."""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import NamedTuple

# Fewer visits say too little; from there on they weigh against the chances as stated. Our choice.
FEWEST_VISITS = 50
STRENGTH_VISITS = 50.0


class PastVisit(NamedTuple):
    """The chance stated for a visit, and whether the crew could start."""

    stated: float
    started: bool


@dataclass(frozen=True)
class Calibration:
    """A rising line through points (stated, observed); weight of it against the stated chance."""

    points: tuple[tuple[float, float], ...] = ()
    weight: float = 0.0

    def at(self, stated: float) -> float:
        """Return the chance set right. What is sure, or never, stays so: it rests on no guess."""
        if not self.points or stated in (0.0, 1.0):
            return stated
        return (1 - self.weight) * stated + self.weight * self._observed(stated)

    def _observed(self, stated: float) -> float:
        after = bisect_right(self.points, stated, key=lambda point: point[0])
        if after == 0 or after == len(self.points):
            return self.points[min(after, len(self.points) - 1)][1]
        (x0, y0), (x1, y1) = self.points[after - 1 : after + 1]
        return y0 + (y1 - y0) * (stated - x0) / (x1 - x0)


IDENTITY = Calibration()


def calibration_of(visits: Iterable[PastVisit]) -> Calibration:
    """Fit isotonically (pool adjacent violators), drawn to what was stated; few leave it alone."""
    doubtful = sorted(visit for visit in visits if 0 < visit.stated < 1)
    if len(doubtful) < FEWEST_VISITS:
        return IDENTITY
    pools: list[_Pool] = []
    for stated, alike in groupby(doubtful, key=lambda visit: visit.stated):
        pool = _pool(stated, [visit.started for visit in alike])
        while pools and pools[-1].share >= pool.share:
            pool = pools.pop() + pool
        pools.append(pool)
    weight = len(doubtful) / (len(doubtful) + STRENGTH_VISITS)
    return Calibration(tuple((pool.stated, pool.share) for pool in pools), weight)


@dataclass(frozen=True)
class _Pool:
    """Neighbouring visits taken together: their mean stated chance, and how many started."""

    stated: float
    started: int
    visits: int

    @property
    def share(self) -> float:
        return self.started / self.visits

    def __add__(self, other: "_Pool") -> "_Pool":
        visits = self.visits + other.visits
        stated = self.stated * self.visits + other.stated * other.visits
        return _Pool(stated / visits, self.started + other.started, visits)


def _pool(stated: float, started: Sequence[bool]) -> _Pool:
    return _Pool(stated, sum(started), len(started))
