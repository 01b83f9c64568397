"""When and where a crew is free, against minutes added up by hand."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from scheduling.progress import DayFact, DayPlan, PlannedStep, PlannedStop, day_progress
from scheduling.progress.rest import CrewRest, Paper, crew_rest

SEVEN = datetime(2027, 3, 1, 13, 0, tzinfo=UTC)
LOT, FLAT, END = 1, 2, 3
PLAN = DayPlan(
    9,
    date(2027, 3, 1),
    (
        PlannedStop(LOT, (PlannedStep("air_seal", 120), PlannedStep("flat_blow", 90))),
        PlannedStop(FLAT, (PlannedStep("batt", 60),)),
        PlannedStop(END, (PlannedStep("batt", 45),)),
    ),
)
DRIVES: dict[tuple[int | None, int | None], int] = {
    (None, LOT): 20,
    (LOT, FLAT): 10,
    (FLAT, END): 15,
}
PAPER = Paper(SEVEN, {LOT: 30, FLAT: 30, END: 5}, lambda a, b: DRIVES[a, b])


def said(at: str, kind: str, job: int = LOT, step: str = "", **what: Any) -> DayFact:
    return DayFact(f"{at} {kind}", kind, clock(at), job, step, what=what)


def clock(at: str) -> datetime:
    hour, minute = map(int, at.split(":"))
    return SEVEN + timedelta(hours=hour - 7, minutes=minute)


def rest(now: str, *facts: DayFact) -> CrewRest:
    return crew_rest(day_progress(PLAN, facts), PAPER, clock(now))


DONE = (said("9:30", "finished", step="air_seal"), said("11:00", "finished", step="flat_blow"))


@pytest.mark.parametrize(
    ("now", "facts", "free_at", "at_job", "begun"),
    [
        # Not a word, five past seven: it may still be in the yard.
        ("7:05", (), "7:05", None, set()),
        # Not a word, half past: 20 of drive, 30 of set-up, 210 of work from seven on.
        ("7:30", (), "11:20", LOT, {LOT}),
        # Not a word all morning: 10, 30 and 60 after that.
        ("11:50", (), "13:00", FLAT, {LOT, FLAT}),
        # On the way for 12 of 20 minutes: 8 and 30 and 210 are left.
        ("7:12", (said("7:00", "set_out"),), "11:20", LOT, {LOT}),
        # There since 7:20: 10 of the set-up are left.
        ("7:40", (said("7:20", "arrived"),), "11:20", LOT, {LOT}),
        # 30 of 120 minutes done.
        ("8:20", (said("7:50", "started", step="air_seal"),), "11:20", LOT, {LOT}),
        # 160 of 120 minutes gone: ten more, and the 90 after it.
        ("10:30", (said("7:50", "started", step="air_seal"),), "12:10", LOT, {LOT}),
        # Through with it, ten minutes ago: it can be sent anywhere.
        ("11:10", DONE, "11:10", LOT, {LOT}),
        # Forty minutes ago: it must be on the way to the next one.
        ("11:40", DONE, "12:40", FLAT, {LOT, FLAT}),
        # Turned away an hour ago: it waits for word.
        ("9:00", (said("8:00", "turned_away"),), "9:00", LOT, set()),
        # Turned away, and on the way to another house of its day: 4 of 10 minutes gone.
        (
            "8:09",
            (said("8:00", "turned_away"), said("8:05", "set_out", FLAT)),
            "9:45",
            FLAT,
            {FLAT},
        ),
    ],
)
def test_a_crew_is_free_when_the_minutes_say_so(
    now: str, facts: tuple[DayFact, ...], free_at: str, at_job: int | None, begun: set[int]
) -> None:
    found = rest(now, *facts)
    assert (found.free_at, found.at_job, set(found.begun)) == (clock(free_at), at_job, begun)
    assert rest(now, *reversed(facts)) == found


@pytest.mark.parametrize(
    ("now", "facts", "free_at"),
    [
        # Through by 11:20, before the meal: nothing on top.
        ("8:20", (said("7:50", "started", step="air_seal"),), "11:20"),
        # At twenty to twelve thirty are left: that goes over noon, so half an hour more.
        ("11:40", (said("10:40", "started", step="flat_blow"), *DONE[:1]), "12:40"),
        # By paper it is at its second house over noon: 12:40 and the meal.
        ("11:40", DONE, "13:10"),
        # After the meal.
        ("12:45", (said("12:40", "started", FLAT, "batt"), *DONE), "13:40"),
    ],
)
def test_the_meal_comes_on_top_of_work_that_goes_over_its_time(
    now: str, facts: tuple[DayFact, ...], free_at: str
) -> None:
    meal = replace(PAPER, meal=(timedelta(minutes=30), timedelta(minutes=300)))
    found = crew_rest(day_progress(PLAN, facts), meal, clock(now))
    assert found.free_at == clock(free_at)


def test_work_done_before_a_crew_was_turned_away_is_done() -> None:
    found = rest("9:40", DONE[0], said("9:35", "turned_away"))

    assert (set(found.begun), set(found.away)) == ({LOT}, {LOT})
    assert found.is_done(LOT, "air_seal")
    assert not found.is_done(LOT, "flat_blow")


def test_what_is_begun_is_done_by_the_time_that_its_crew_is_free() -> None:
    found = rest("8:20", said("7:50", "started", step="air_seal"))

    assert found.is_done(LOT, "flat_blow")
    assert not found.is_done(FLAT, "batt")


def test_work_that_is_left_counts_by_its_minutes_and_never_as_nearly_done() -> None:
    part = said("9:00", "finished", step="air_seal", minutes=30, whole=False)
    long = said("9:50", "finished", step="flat_blow", minutes=500, whole=False)

    assert rest("9:55", part, long).left_over == {
        (LOT, "air_seal"): 0.25,  # 30 of 120 minutes
        (LOT, "flat_blow"): 0.75,  # some is left, however long it took
    }
