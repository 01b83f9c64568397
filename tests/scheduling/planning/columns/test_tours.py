"""The shortest drive against trying every order."""

from __future__ import annotations

import random
from itertools import pairwise, permutations

import numpy as np

from scheduling.planning.columns.tours import Ends, Entry, shortest_tour

YARD = Ends(0, 0)


def by_trying(travel: np.ndarray, places: list[int], start: int = 0) -> int:
    ways = ([start, *way, 0] for way in permutations(places))
    return min(sum(int(travel[a, b]) for a, b in pairwise(w)) for w in ways)


def test_up_to_six_stops_are_driven_in_the_best_order() -> None:
    draw = random.Random(1)
    for count in range(1, 7):
        travel = np.array([[draw.randint(1, 60) for _ in range(9)] for _ in range(9)])
        places = draw.sample(range(1, 9), count)
        stops = tuple(Entry(j, place, 30, 0, ()) for j, place in enumerate(places))
        minutes, order = shortest_tour(travel, YARD, stops)
        assert minutes == by_trying(travel, places)
        assert {entry.job for entry in order} == set(range(count))
        from_afar, _ = shortest_tour(travel, Ends(8, 0), stops)
        assert from_afar == by_trying(travel, places, start=8)


def test_more_stops_are_driven_by_insertion_and_none_not_at_all() -> None:
    draw = random.Random(2)
    points = [(draw.randint(0, 50), draw.randint(0, 50)) for _ in range(9)]
    travel = np.array([[abs(a - c) + abs(b - d) for c, d in points] for a, b in points])
    stops = tuple(Entry(j, j + 1, 30, 0, ()) for j in range(8))
    minutes, order = shortest_tour(travel, YARD, stops)
    assert by_trying(travel, list(range(1, 9))) <= minutes
    assert len(order) == 8
    assert shortest_tour(travel, YARD, ()) == (0, ())
