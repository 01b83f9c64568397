"""What a step took over days and crews, and what a visit in vain cost, by hand."""

from datetime import UTC, date, datetime, timedelta

import pytest

from scheduling.progress.day import DayFact
from scheduling.progress.took import Report, times_off, took
from scheduling.progress.visits import Lost, found, lost

START = datetime(2027, 3, 1, 13, tzinfo=UTC)
MONDAY, TUESDAY = date(2027, 3, 1), date(2027, 3, 2)


def report(number: int, crew: int, day: date, minutes: int, *, whole: bool = True) -> Report:
    at = START + (day - MONDAY) + timedelta(minutes=number)
    return Report(f"{number:03}", crew, day, at, minutes, bags=number, whole=whole)


def test_parts_are_summed_and_of_one_crew_and_day_the_last_counts() -> None:
    all_of_it = took(
        [
            report(9, 2, TUESDAY, 30),
            report(1, 1, MONDAY, 60, whole=False),
            report(2, 1, MONDAY, 50, whole=False),
            report(3, 1, TUESDAY, 20, whole=False),
        ]
    )
    assert all_of_it is not None
    assert (all_of_it.minutes, all_of_it.bags, all_of_it.is_whole) == (100, 14, True)
    assert all_of_it.last.crew == 2
    assert took([]) is None


@pytest.mark.parametrize(
    ("said", "estimate", "times"),
    [(300, 100, 3.0), (200, 100, None), (40, 100, 0.4), (20, 5, None), (None, 100, None)],
)
def test_odd_figures(said: float | None, estimate: float, times: float | None) -> None:
    assert times_off(said, estimate, 30) == times


def said(number: int, kind: str, job: int = 1, **what: object) -> DayFact:
    step = "batt" if kind in ("started", "finished") else ""
    at = START + timedelta(minutes=number)
    return DayFact(f"{number:03}", kind, at, job, step, what=what)


def test_the_last_word_of_the_day_counts() -> None:
    away, again = said(1, "turned_away", why="shut"), said(2, "turned_away", why="shut")
    turned = found([again, away])
    assert turned is not None
    assert (turned.could_start, turned.by, turned.at) == (False, away, again.at)
    let_in = found([again, away, said(3, "started")])
    assert let_in is not None
    assert (let_in.could_start, let_in.steps) == (True, ("batt",))
    assert found([said(1, "arrived")]) is None


@pytest.mark.parametrize(
    ("facts", "minutes"),
    [
        ([(10, "set_out", 1), (30, "arrived", 1), (50, "turned_away", 1)], 40),
        ([(10, "set_out", 1), (50, "turned_away", 1), (65, "set_out", 2)], 55),
        ([(50, "turned_away", 1)], 0),
        ([(10, "set_out", 1), (20, "started", 1), (50, "turned_away", 1)], 30),
        ([(0, "set_out", 2), (10, "set_out", 1), (50, "turned_away", 1)], 40),
    ],
)
def test_minutes_lost(facts: list[tuple[int, str, int]], minutes: int) -> None:
    assert lost([said(*one) for one in reversed(facts)], 1) == Lost(1, minutes)


def test_nothing_is_lost_by_a_crew_that_was_let_in() -> None:
    facts = [said(10, "set_out"), said(50, "turned_away"), said(60, "started")]
    assert lost(facts, 1) == Lost()
