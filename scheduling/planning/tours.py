"""The shortest drive of a crew-day over its stops; knows no rule and no cost."""

from __future__ import annotations

from itertools import permutations
from typing import NamedTuple

from scheduling.planning.model import Ints


class Entry(NamedTuple):
    """One stop of a crew-day in the making."""

    job: int
    place: int
    minutes: int
    machines: int
    parts: tuple[tuple[int, int], ...]


def shortest_tour(
    travel: Ints, home: int, stops: tuple[Entry, ...]
) -> tuple[int, tuple[Entry, ...]]:
    """Return the minutes of the shortest drive home, stops, home, and the stops in its order."""
    if not stops:
        return 0, stops
    if len(stops) > 6:
        return _by_insertion(travel, home, stops)
    best = min(
        permutations(stops), key=lambda way: (_length(travel, home, way), [e.job for e in way])
    )
    return _length(travel, home, best), best


def _length(travel: Ints, home: int, stops: tuple[Entry, ...]) -> int:
    total, here = 0, home
    for entry in stops:
        total += int(travel[here, entry.place])
        here = entry.place
    return total + int(travel[here, home])


def _by_insertion(
    travel: Ints, home: int, stops: tuple[Entry, ...]
) -> tuple[int, tuple[Entry, ...]]:
    way: tuple[Entry, ...] = ()
    for entry in stops:
        ways = [(*way[:i], entry, *way[i:]) for i in range(len(way) + 1)]
        way = min(ways, key=lambda each: _length(travel, home, each))
    return _length(travel, home, way), way
