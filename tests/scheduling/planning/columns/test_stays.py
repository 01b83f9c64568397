"""Divisions of steps against trying every split in minutes and asking the judge."""

from __future__ import annotations

import random
from collections.abc import Iterator
from itertools import accumulate, combinations

import pytest

from scheduling.planning.check import judge
from scheduling.planning.columns.stays import Work, divisions
from scheduling.planning.plan import Part, Plan, Stop, Visit
from scheduling.planning.problem import Problem
from tests.scheduling.planning.weeks import job_data, step_data, week

LEAST = 3


def short_days(minutes: list[int], lengths: tuple[int, ...]) -> Problem:
    """Return one crew with days of a few minutes and overtime, one job next door."""
    days = [f"2027-03-0{d + 1}" for d in range(len(minutes))]
    steps = [step_data(f"A/{i}", {"ash": m}, len(days)) for i, m in enumerate(lengths)]
    return week(
        days=days,
        crews=[{"id": "ash", "home": "yard", "minutes": minutes, "overtime": [9] * len(days)}],
        machines=[],
        travel_minutes=[[0] * 3] * 3,
        jobs=[job_data("A", "north", steps, setup_minutes=0)],
        min_part_minutes=LEAST,
    )


def splits(total: int, days: int) -> Iterator[tuple[int, ...]]:
    """Yield every way to split minutes over days, at least one on each."""
    for cuts in combinations(range(1, total), days - 1):
        ends = [0, *cuts, total]
        yield tuple(b - a for a, b in zip(ends, ends[1:], strict=False))  # noqa: RUF007


def plan(work: Work, amounts: tuple[int, ...]) -> Plan:
    parts = [[Part(f"A/{i}", m) for i, m in day] for day in work.cut(amounts)]
    return Plan(tuple(Visit("ash", d, (Stop("A", tuple(day)),)) for d, day in enumerate(parts)))


def listed(work: Work, whole: list[int]) -> set[tuple[int, ...]]:
    """Return the divisions with one rest, and with two for all minutes of the first one."""
    found: set[tuple[int, ...]] = set()
    count = len(whole)
    for rest in range(count):
        found.update(divisions(work, whole, {rest: None}, LEAST))
    for first, second in combinations(range(count), 2):
        for minutes in range(1, work.total):
            found.update(divisions(work, whole, {first: minutes, second: None}, LEAST))
    return found


@pytest.mark.parametrize("seed", range(200))
def test_divisions_are_those_that_the_judge_allows(seed: int) -> None:
    draw = random.Random(seed)
    count = draw.choice([2, 3, 3])
    whole = [draw.randint(6, 10) for _ in range(count)]
    lengths = tuple(draw.randint(2, 14) for _ in range(draw.choice([1, 2, 3])))
    work, problem = Work(0, lengths), short_days(whole, lengths)
    ends = set(accumulate(lengths))
    room = max(whole) + 9
    allowed = {
        amounts
        for amounts in (splits(work.total, count) if work.total >= count else ())
        if not ends & set(list(accumulate(amounts))[:-1])
        and max(amounts) <= room
        and judge(problem, plan(work, amounts)).clean
    }
    fitting = {a for a in listed(work, whole) if all(m <= w + 9 for m, w in zip(a, whole))}  # noqa: B905
    assert fitting == allowed


def test_a_cut_tells_what_is_done_on_each_day() -> None:
    work = Work(1, (5, 4, 6))
    assert work.cut((7, 8)) == (((1, 5), (2, 2)), ((2, 2), (3, 6)))
