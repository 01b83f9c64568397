"""The shortest drive of a crew-day over its stops; knows no rule and no cost."""

from __future__ import annotations

from itertools import permutations
from typing import NamedTuple

from scheduling.planning.columns.model import Ints


class Entry(NamedTuple):
    """One stop of a crew-day in the making."""

    job: int
    place: int
    minutes: int
    machines: int
    parts: tuple[tuple[int, int], ...]


class Ends(NamedTuple):
    """Where a crew's day starts, and its home, where it ends."""

    start: int
    home: int


def shortest_tour(
    travel: Ints, ends: Ends, stops: tuple[Entry, ...]
) -> tuple[int, tuple[Entry, ...]]:
    """Return the minutes of the shortest drive start, stops, home, and the stops in its order."""
    if not stops:
        return 0, stops
    if len(stops) > 6:
        return _by_insertion(travel, ends, stops)
    best = min(
        permutations(stops), key=lambda way: (_length(travel, ends, way), [e.job for e in way])
    )
    return _length(travel, ends, best), best


def _length(travel: Ints, ends: Ends, stops: tuple[Entry, ...]) -> int:
    total, here = 0, ends.start
    for entry in stops:
        total += int(travel[here, entry.place])
        here = entry.place
    return total + int(travel[here, ends.home])


def _by_insertion(
    travel: Ints, ends: Ends, stops: tuple[Entry, ...]
) -> tuple[int, tuple[Entry, ...]]:
    way: tuple[Entry, ...] = ()
    for entry in stops:
        ways = [(*way[:i], entry, *way[i:]) for i in range(len(way) + 1)]
        way = min(ways, key=lambda each: _length(travel, ends, each))
    return _length(travel, ends, way), way
