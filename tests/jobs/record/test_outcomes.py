"""What moves of a condition say of the dates and reports given, and how it is put in words."""

from collections import Counter
from datetime import date, timedelta

import pytest

from contractor.workdays import WorkCalendar
from jobs.conditions.record import (
    PROMISE,
    READY_DATE,
    REPORT,
    History,
    MoveMade,
    WordOutcome,
    evidence,
    outcomes,
    report_evidence,
    slip,
)

MONDAY = date(2027, 3, 1)
WORK = WorkCalendar()


def day(number: int) -> date:
    return MONDAY + timedelta(days=number)


def test_a_promise_kept_and_one_broken_by_two_days() -> None:
    kept = [MoveMade(day(0), "owed", "promised", day(2)), MoveMade(day(2), "promised", "seen_done")]
    assert outcomes(kept, WORK) == [WordOutcome(PROMISE, day(2), day(2), 0)]
    late = [
        MoveMade(day(0), "owed", "promised", day(2)),
        MoveMade(day(4), "promised", "reported_done"),
    ]
    assert outcomes(late, WORK) == [WordOutcome(PROMISE, day(2), day(4), 2)]


def test_a_date_put_off_is_judged_as_well_as_the_new_one() -> None:
    moves = [
        MoveMade(day(0), "owed", "promised", day(1)),
        MoveMade(day(0), "promised", "promised", day(3)),
        MoveMade(day(3), "promised", "seen_done"),
    ]
    assert [outcome.slip_days for outcome in outcomes(moves, WORK)] == [2, 0]


def test_a_report_that_was_taken_back_keeps_no_promise() -> None:
    moves = [
        MoveMade(day(0), "owed", "promised", day(1)),
        MoveMade(day(1), "promised", "reported_done"),
        MoveMade(day(2), "reported_done", "owed"),
        MoveMade(day(3), "owed", "reported_done"),
        MoveMade(day(4), "reported_done", "seen_done"),
    ]
    assert outcomes(moves, WORK) == [
        WordOutcome(PROMISE, day(1), day(3), 2),
        WordOutcome(REPORT, day(1), day(2), found_true=False),
        WordOutcome(REPORT, day(3), day(4), found_true=True),
    ]


@pytest.mark.parametrize("end", ["waived", "taken_over"])
def test_what_was_waived_or_taken_over_settles_nothing(end: str) -> None:
    moves = [MoveMade(day(0), "owed", "promised", day(1)), MoveMade(day(4), "promised", end)]
    assert outcomes(moves, WORK) == []


def test_without_a_promise_the_ready_date_is_judged() -> None:
    moves = [MoveMade(day(3), "owed", "seen_done", ready_date=day(0))]
    assert outcomes(moves, WORK) == [WordOutcome(READY_DATE, day(0), day(3), 3)]


def test_slips_are_counted_in_working_days() -> None:
    friday, saturday, next_monday = day(4), day(5), day(7)
    assert slip(friday, next_monday, WORK) == 1
    assert slip(saturday, next_monday, WORK) == 0
    assert slip(next_monday, friday, WORK) == 0
    holiday = WorkCalendar(holidays=frozenset({next_monday}))
    assert slip(friday, day(8), holiday) == 1


def test_the_evidence_in_words() -> None:
    assert str(evidence(Counter())) == "no date on record yet"
    assert str(evidence(Counter({0: 3}))) == "kept 3 of 3"
    assert str(evidence(Counter({0: 14, 2: 3, 1: 1, 6: 1}))) == (
        "kept 14 of 19, late by 2 days when late"
    )
    assert str(evidence(Counter({0: 1, 1: 1}))) == "kept 1 of 2, late by 1 day when late"
    assert str(report_evidence(History(reports_true=9, reports_false=1))) == (
        "9 of 10 reports found true"
    )
