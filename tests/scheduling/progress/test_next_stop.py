"""Where a crew goes that was turned away: seen ready, else reported, else it rings the office."""

from datetime import UTC, date, datetime, timedelta

import pytest

from jobs.conditions.readiness import JobCondition
from scheduling.progress import DayPlan, PlannedStep, PlannedStop, Said, day_progress
from scheduling.progress.day import Ready
from scheduling.progress.next_stop import NextStop, next_stop, stop_ready

SEVEN = datetime(2027, 3, 1, 13, 0, tzinfo=UTC)
A, B, C, D = 1, 2, 3, 4
PLAN = DayPlan(
    9, date(2027, 3, 1), tuple(PlannedStop(job, (PlannedStep("batt", 60),)) for job in (A, B, C, D))
)
KIND = "flat_blow"


def said(minute: int, kind: str, job: int, step: str = "") -> Said:
    return Said(f"{minute:03d}", kind, SEVEN + timedelta(minutes=minute), job, step)


def after(*facts: Said, ready: dict[int, Ready], away_from: int = A) -> NextStop | None:
    return next_stop(day_progress(PLAN, facts).stops, ready, away_from)


AWAY = said(10, "turned_away", A)


@pytest.mark.parametrize(
    ("ready", "expected"),
    [
        # The nearer house is only reported done: the one that was seen goes before it.
        ({B: Ready.REPORTED, C: Ready.SEEN, D: Ready.SEEN}, NextStop(C, Ready.SEEN)),
        ({B: Ready.HELD, C: Ready.REPORTED, D: Ready.REPORTED}, NextStop(C, Ready.REPORTED)),
        ({B: Ready.HELD, C: Ready.HELD, D: Ready.HELD}, None),
        ({}, None),
        # Never back to the house that turned it away, whatever is written of it.
        ({A: Ready.SEEN}, None),
    ],
)
def test_the_next_house_is_the_first_that_is_sure(
    ready: dict[int, Ready], expected: NextStop | None
) -> None:
    assert after(AWAY, ready=ready) == expected


def test_houses_that_are_over_are_left_out() -> None:
    ready = dict.fromkeys((A, B, C, D), Ready.SEEN)
    gone = (said(1, "finished", B, "batt"), said(2, "turned_away", C), AWAY)

    assert after(*gone, ready=ready) == NextStop(D, Ready.SEEN)


def test_a_house_that_was_begun_is_gone_back_to() -> None:
    begun = said(1, "started", D, "batt")

    assert after(begun, AWAY, ready={B: Ready.SEEN}) == NextStop(D, Ready.SEEN)


def test_the_order_of_facts_says_nothing() -> None:
    ready = {B: Ready.SEEN, C: Ready.SEEN, D: Ready.SEEN}
    facts = [said(1, "finished", B, "batt"), AWAY]

    assert after(*facts, ready=ready) == after(*reversed(facts), ready=ready)


def condition(state: str, gate: str = "block", owed_by: str = "builder") -> JobCondition:
    promised = date(2027, 3, 1) if state == "promised" else None
    return JobCondition("c", "Ceiling", owed_by, gate, state, (KIND,), promised)


@pytest.mark.parametrize(
    ("conditions", "expected"),
    [
        ([], Ready.SEEN),
        ([condition("seen_done"), condition("waived"), condition("taken_over")], Ready.SEEN),
        ([condition("seen_done"), condition("reported_done")], Ready.REPORTED),
        ([condition("reported_done"), condition("owed")], Ready.HELD),
        # Promised for this very day: nobody has said that it was kept.
        ([condition("promised")], Ready.HELD),
        # A stop that somebody waived stays shut; reported, it is to be looked at.
        ([condition("waived", gate="stop")], Ready.HELD),
        ([condition("reported_done", gate="stop")], Ready.REPORTED),
        # What we owe ourselves, and what only warns, holds nobody up.
        ([condition("owed", owed_by="us"), condition("owed", gate="warn")], Ready.SEEN),
    ],
)
def test_a_house_is_as_ready_as_its_weakest_condition(
    conditions: list[JobCondition], expected: Ready
) -> None:
    assert stop_ready({KIND}, conditions) == expected


def test_other_work_at_the_house_holds_nothing_up() -> None:
    assert stop_ready({"batt"}, [condition("owed")]) == Ready.SEEN
