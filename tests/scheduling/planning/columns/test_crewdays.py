"""The finder of crew-days against listing every set, at random gains."""

from __future__ import annotations

import random
from itertools import combinations, permutations

import numpy as np
import pytest

from scheduling.planning.columns.crewdays import Day, Finder, Offers
from scheduling.planning.columns.model import largest_shortcut


def random_case(seed: int) -> tuple[Day, Offers, np.ndarray]:
    """Return a day, offers of five jobs and machine prices; drives need not be metric."""
    draw = random.Random(seed)
    travel = np.array([[0 if a == b else draw.randint(5, 40) for a in range(6)] for b in range(6)])
    if draw.random() < 0.5:
        travel = np.minimum(travel, travel.T)
    job = np.array([draw.randrange(5) for _ in range(10)])
    offers = Offers(
        piece=np.arange(10),
        job=job,
        place=job + 1,
        minutes=np.array([draw.randint(30, 300) for _ in range(10)]),
        gain=np.array([draw.randint(-2000, 30000) / 4 for _ in range(10)]),
        machines=np.array([draw.choice([0, 0, 1]) for _ in range(10)]),
        enters=np.array([draw.random() < 0.3 for _ in range(10)]),
        leaves=np.array([draw.random() < 0.3 for _ in range(10)]),
    )
    shortcut = largest_shortcut(travel)
    stops, start = draw.choice([1, 2, 3, 4]), draw.choice([0, 0, 3])
    day = Day(start, 0, 400, 490, travel, shortcut, stops, 50.0, 70.0, 1000.0, False)
    return day, offers, np.array([0.0, draw.choice([0.0, 700.0])])


def listed(day: Day, offers: Offers, prices: np.ndarray) -> dict[tuple[int, ...], float]:
    """Return the profit of every set that is allowed, by its pieces."""
    found = {}
    for size in range(1, day.max_stops + 1):
        for chosen in combinations(range(10), size):
            members = list(chosen)
            if len(set(offers.job[members])) < size:
                continue
            if offers.enters[members].sum() > 1 or offers.leaves[members].sum() > 1:
                continue
            ways = ([day.start, *way, 0] for way in permutations(offers.place[members]))
            drive = min(sum(int(day.travel[a, b]) for a, b in zip(w, w[1:])) for w in ways)  # noqa: B905, RUF007
            time = drive + int(offers.minutes[members].sum())
            if time > day.most:
                continue
            cost = drive * 50.0 + max(0, time - day.usual) * 70.0 + 1000.0
            mask = int(np.bitwise_or.reduce(offers.machines[members]))
            found[chosen] = float(offers.gain[members].sum()) - cost - float(prices[mask])
    return found


def pieces_above(finder: Finder, threshold: float, margin: float) -> dict[tuple[int, ...], float]:
    return {
        tuple(sorted(finder.offers.piece[members].tolist())): float(profit)
        for found in finder.above(threshold, margin)
        for members, profit in zip(found.members, found.profit, strict=True)
    }


@pytest.mark.parametrize("seed", range(80))
def test_all_sets_above_a_threshold_are_found_with_their_profit(seed: int) -> None:
    day, offers, prices = random_case(seed)
    expected = listed(day, offers, prices)
    for threshold in (-1500.0, 0.0, 2500.0):
        found = pieces_above(Finder(day, offers, prices), threshold, np.inf)
        assert found == {s: p for s, p in expected.items() if p > threshold}


@pytest.mark.parametrize("seed", range(80))
def test_with_a_margin_the_best_is_found_exactly(seed: int) -> None:
    day, offers, prices = random_case(seed)
    expected = listed(day, offers, prices)
    found = pieces_above(Finder(day, offers, prices), -1500.0, 0.0)
    best = max(expected.values(), default=-np.inf)
    assert max(found.values(), default=-np.inf) == (best if best > -1500 else -np.inf)


def best_with(case: tuple[Day, Offers, np.ndarray], minutes: int) -> float:
    """Return the most that a set with a stop of job 9 at place 1 brings, by listing all."""
    day, offers, prices = case
    stop = (10, 9, 1, minutes, 0.0, 0, False, False)
    joined = Offers(*(np.append(a, b) for a, b in zip(vars(offers).values(), stop, strict=True)))
    best = -np.inf
    for size in range(day.max_stops):
        for chosen in combinations(range(10), size):
            members = [*chosen, 10]
            if len(set(joined.job[members])) < len(members):
                continue
            if joined.enters[members].sum() > 1 or joined.leaves[members].sum() > 1:
                continue
            ways = ([day.start, *way, 0] for way in permutations(joined.place[members]))
            drive = min(sum(int(day.travel[a, b]) for a, b in zip(w, w[1:])) for w in ways)  # noqa: B905, RUF007
            time = drive + int(joined.minutes[members].sum())
            if time <= day.most:
                cost = drive * 50.0 + max(0, time - day.usual) * 70.0 + 1000.0
                mask = int(np.bitwise_or.reduce(joined.machines[members]))
                best = max(best, float(joined.gain[members].sum()) - cost - float(prices[mask]))
    return best


@pytest.mark.parametrize("seed", range(80))
def test_what_stands_beside_a_stop_is_bounded_and_found_for_all_its_minutes(seed: int) -> None:
    """A stop of a job that offers nothing: the best set with it, less nothing for itself."""
    day, offers, prices = case = random_case(seed)
    least = 60 + seed
    most = Finder(day, offers, prices).companions(9, 1, least).profit
    there = int(day.travel[day.start, 1] + day.travel[1, 0])
    for minutes in (least, least + 41, least + 160, day.most - there):
        best = best_with(case, minutes)
        assert most[minutes] == pytest.approx(best, abs=0.01)
        assert Finder(day, offers, prices).most_with(minutes, there) >= best
