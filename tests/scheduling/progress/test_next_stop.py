"""Where a crew goes that was turned away: seen ready, else reported, else it rings the office."""

from datetime import UTC, date, datetime, timedelta

import pytest

from jobs.conditions.readiness import JobCondition
from scheduling.progress import DayFact, DayPlan, PlannedStep, PlannedStop, day_progress
from scheduling.progress.day import ReadyHouse
from scheduling.progress.next_stop import NextStop, next_stop, stop_ready

SEVEN = datetime(2027, 3, 1, 13, 0, tzinfo=UTC)
A, B, C, D = 1, 2, 3, 4
PLAN = DayPlan(
    9, date(2027, 3, 1), tuple(PlannedStop(job, (PlannedStep("batt", 60),)) for job in (A, B, C, D))
)
KIND = "flat_blow"


def said(minute: int, kind: str, job: int, step: str = "") -> DayFact:
    return DayFact(f"{minute:03d}", kind, SEVEN + timedelta(minutes=minute), job, step)


def after(*facts: DayFact, ready: dict[int, ReadyHouse], away_from: int = A) -> NextStop | None:
    return next_stop(day_progress(PLAN, facts).stops, ready, away_from)


AWAY = said(10, "turned_away", A)


@pytest.mark.parametrize(
    ("ready", "expected"),
    [
        # The nearer house is only reported done: the one that was seen goes before it.
        (
            {B: ReadyHouse.REPORTED, C: ReadyHouse.SEEN, D: ReadyHouse.SEEN},
            NextStop(C, ReadyHouse.SEEN),
        ),
        (
            {B: ReadyHouse.HELD, C: ReadyHouse.REPORTED, D: ReadyHouse.REPORTED},
            NextStop(C, ReadyHouse.REPORTED),
        ),
        ({B: ReadyHouse.HELD, C: ReadyHouse.HELD, D: ReadyHouse.HELD}, None),
        ({}, None),
        # Never back to the house that turned it away, whatever is written of it.
        ({A: ReadyHouse.SEEN}, None),
    ],
)
def test_the_next_house_is_the_first_that_is_sure(
    ready: dict[int, ReadyHouse], expected: NextStop | None
) -> None:
    assert after(AWAY, ready=ready) == expected


def test_houses_that_are_over_are_left_out() -> None:
    ready = dict.fromkeys((A, B, C, D), ReadyHouse.SEEN)
    gone = (said(1, "finished", B, "batt"), said(2, "turned_away", C), AWAY)

    assert after(*gone, ready=ready) == NextStop(D, ReadyHouse.SEEN)


def test_a_house_that_was_begun_is_gone_back_to() -> None:
    begun = said(1, "started", D, "batt")

    assert after(begun, AWAY, ready={B: ReadyHouse.SEEN}) == NextStop(D, ReadyHouse.SEEN)


def test_the_order_of_facts_says_nothing() -> None:
    ready = {B: ReadyHouse.SEEN, C: ReadyHouse.SEEN, D: ReadyHouse.SEEN}
    facts = [said(1, "finished", B, "batt"), AWAY]

    assert after(*facts, ready=ready) == after(*reversed(facts), ready=ready)


def condition(state: str, gate: str = "block", owed_by: str = "builder") -> JobCondition:
    promised = date(2027, 3, 1) if state == "promised" else None
    return JobCondition("c", "Ceiling", owed_by, gate, state, (KIND,), promised)


@pytest.mark.parametrize(
    ("conditions", "expected"),
    [
        ([], ReadyHouse.SEEN),
        ([condition("seen_done"), condition("waived"), condition("taken_over")], ReadyHouse.SEEN),
        ([condition("seen_done"), condition("reported_done")], ReadyHouse.REPORTED),
        ([condition("reported_done"), condition("owed")], ReadyHouse.HELD),
        # Promised for this very day: nobody has said that it was kept.
        ([condition("promised")], ReadyHouse.HELD),
        # A stop that somebody waived stays shut; reported, it is to be looked at.
        ([condition("waived", gate="stop")], ReadyHouse.HELD),
        ([condition("reported_done", gate="stop")], ReadyHouse.REPORTED),
        # What we owe ourselves, and what only warns, holds nobody up.
        ([condition("owed", owed_by="us"), condition("owed", gate="warn")], ReadyHouse.SEEN),
    ],
)
def test_a_house_is_as_ready_as_its_weakest_condition(
    conditions: list[JobCondition], expected: ReadyHouse
) -> None:
    assert stop_ready({KIND}, conditions) == expected


def test_other_work_at_the_house_holds_nothing_up() -> None:
    assert stop_ready({"batt"}, [condition("owed")]) == ReadyHouse.SEEN
