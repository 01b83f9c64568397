"""What the office does next, on days made by hand: who stands idle first, paper last."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import permutations
from typing import Any

import pytest

from scheduling.progress import Check, DayFact, DayPlan, PlannedStep, PlannedStop, day_progress
from scheduling.progress.clock import MealRule, TimedVisit, Window, day_times
from scheduling.progress.lateness import CrewPlace, crew_stand, next_due
from scheduling.progress.todo import (
    Away,
    CrewNow,
    LeftOut,
    Need,
    PhoneReport,
    Proposal,
    Todo,
    silence_of,
    what_next,
)

# Seven in the morning. Lot: a drive of 20 minutes, 2 h of sealing and 1 1/2 h of blowing, so
# 7:20 to 10:50. Flat: a drive of 10 minutes and 1 h of batts, so 11:00 to 12:00. Home 12:30.
SEVEN = datetime(2027, 3, 1, 13, 0, tzinfo=UTC)
LOT, FLAT = 11, 12
DRIVES = {(None, LOT): 20, (LOT, FLAT): 10, (FLAT, LOT): 10, (FLAT, None): 30, (LOT, None): 20}
NO_MEAL, MEAL = MealRule(0, 300), MealRule(30, 300)
PLAN = DayPlan(
    1,
    date(2027, 3, 1),
    (
        PlannedStop(
            LOT,
            (PlannedStep("air_seal", 120), PlannedStep("flat_blow", 90, 20)),
            (Check(5, ("air_seal",)),),
        ),
        PlannedStop(FLAT, (PlannedStep("batt", 60),)),
    ),
)
VISITS = tuple(TimedVisit(stop.job, 0, stop.steps) for stop in PLAN.stops)


def at(clock: str) -> datetime:
    """A time by the yard's clock."""
    hours, minutes = clock.split(":")
    return SEVEN + timedelta(hours=int(hours) - 7, minutes=int(minutes))


def said(clock: str, kind: str, job: int = LOT, step: str = "", **what: Any) -> DayFact:
    condition = what.pop("condition", None)
    return DayFact(f"{clock} {kind} {job}", kind, at(clock), job, step, condition, what)


def crew_now(
    now: str, *facts: DayFact, crew: int = 1, meal: MealRule = NO_MEAL, **more: Any
) -> CrewNow:
    progress = day_progress(PLAN, facts)
    same: dict[str, Any] = {
        "starts_at": SEVEN,
        "visits": VISITS,
        "drive": lambda start, end: DRIVES.get((start, end), 15),
        "meal": meal,
    }
    return CrewNow(
        crew=crew,
        progress=progress,
        planned=day_times(**same),
        said=day_times(**same, progress=progress),
        expected=day_times(**same, progress=progress, now=at(now)),
        latest_at=at("16:30"),
        **more,
    )


def needs(now: str, *crews: CrewNow) -> list[Need]:
    return [todo.need for todo in what_next(crews, at(now))]


OUT = said("7:00", "set_out")
THERE = said("7:20", "arrived")
SEEN = said("7:22", "checked", condition=5, answer="true")
SEALING = said("7:25", "started", step="air_seal")
SEALED = said("9:25", "finished", step="air_seal", minutes=120, whole=True)
BLOWING = said("9:30", "started", step="flat_blow")
BLOWN = said("11:00", "finished", step="flat_blow", minutes=90, bags=20, whole=True)
ON_TO_FLAT = said("11:02", "set_out", FLAT)
AT_FLAT = said("11:12", "arrived", FLAT)
BATTS = said("11:15", "started", FLAT, "batt")
BATTED = said("12:10", "finished", FLAT, "batt", minutes=55, whole=True)
WHOLE_DAY = (
    OUT, THERE, SEEN, SEALING, SEALED, BLOWING, BLOWN, ON_TO_FLAT, AT_FLAT, BATTS, BATTED
)  # fmt: skip
AWAY = said("7:30", "turned_away", missing=[5], why="the ceiling is not up")


@pytest.mark.parametrize(
    ("told", "place", "job", "since"),
    [
        (0, CrewPlace.NOTHING_SAID, None, None),
        (1, CrewPlace.ON_THE_WAY, LOT, "7:00"),
        (2, CrewPlace.THERE, LOT, "7:20"),
        (3, CrewPlace.THERE, LOT, "7:20"),
        (4, CrewPlace.WORKING, LOT, "7:25"),
        (5, CrewPlace.WORKING, LOT, "9:25"),
        (6, CrewPlace.WORKING, LOT, "9:30"),
        (7, CrewPlace.BETWEEN, LOT, "11:00"),
        (8, CrewPlace.ON_THE_WAY, FLAT, "11:02"),
        (11, CrewPlace.FINISHED, FLAT, "12:10"),
    ],
)
def test_where_a_crew_is(told: int, place: CrewPlace, job: int | None, since: str | None) -> None:
    stand = crew_stand(day_progress(PLAN, WHOLE_DAY[:told]))
    assert (stand.place, stand.job) == (place, job)
    assert bool(stand.step) == (told in (4, 6))
    assert stand.since == (at(since) if since else None)


def test_a_crew_that_went_to_a_house_off_the_plan_is_there() -> None:
    stand = crew_stand(day_progress(PLAN, (OUT, said("7:40", "arrived", 99))))
    assert (stand.place, stand.job) == (CrewPlace.THERE, 99)


def test_a_note_alone_puts_nobody_anywhere() -> None:
    assert crew_stand(day_progress(PLAN, (said("6:50", "note"),))).place == CrewPlace.NOTHING_SAID


def test_turned_away_stays_the_place_until_the_crew_moves_on() -> None:
    assert crew_stand(day_progress(PLAN, (OUT, AWAY))).place == CrewPlace.TURNED_AWAY
    assert crew_stand(day_progress(PLAN, (OUT, AWAY, said("7:40", "set_out", FLAT)))).job == FLAT


@pytest.mark.parametrize(
    ("facts", "what", "due", "wait"),
    [
        ((), ("set_out", LOT, ""), "7:00", 30),
        ((OUT,), ("arrived", LOT, ""), "7:20", 30),
        # Nobody has begun yet: the end of the step is reckoned from the last word.
        ((OUT, THERE), ("finish", LOT, "air_seal"), "9:20", 30),
        ((OUT, THERE, SEEN, SEALING), ("finish", LOT, "air_seal"), "9:25", 30),
        (WHOLE_DAY[:7], ("set_out", FLAT, ""), "11:00", 30),
        (WHOLE_DAY[:8], ("arrived", FLAT, ""), "11:12", 30),
    ],
)
def test_what_a_crew_should_say_next_and_by_when(
    facts: tuple[DayFact, ...], what: tuple[str, int, str], due: str, wait: int
) -> None:
    crew = crew_now("7:00", *facts)
    found = next_due(crew.progress, crew.said)
    assert found is not None
    assert (found.action, found.job, found.step) == what
    assert (found.at, found.wait) == (at(due), timedelta(minutes=wait))


def test_nothing_is_due_of_a_day_that_is_done() -> None:
    crew = crew_now("18:00", *WHOLE_DAY)
    assert next_due(crew.progress, crew.said) is None
    assert what_next([crew], at("18:00")) == ()


def test_the_meal_is_no_silence() -> None:
    """Blowing ends at 11:45 and the meal begins by noon, within the wait: half an hour more."""
    late = (*WHOLE_DAY[:6], replace(BLOWN, at=at("11:45")))
    crew = crew_now("12:00", *late, meal=MEAL)
    due = next_due(crew.progress, crew.said)
    assert due is not None
    assert due.wait == timedelta(minutes=60)


@pytest.mark.parametrize(
    ("now", "facts", "is_asked"),
    [
        ("7:30", (), False),
        ("7:31", (), True),
        ("7:50", (OUT,), False),
        ("7:51", (OUT,), True),
        ("9:55", WHOLE_DAY[:4], False),
        ("9:56", WHOLE_DAY[:4], True),
        ("23:00", WHOLE_DAY, False),
    ],
)
def test_a_crew_is_asked_for_after_half_an_hour(
    now: str, facts: tuple[DayFact, ...], is_asked: bool
) -> None:
    assert (silence_of(crew_now(now, *facts), at(now)) is not None) == is_asked
    assert (Need.NOT_HEARD in needs(now, crew_now(now, *facts))) == is_asked


def test_a_long_piece_of_work_is_waited_for_longer() -> None:
    """Of a step of four hours a quarter: an hour."""
    plan = DayPlan(1, PLAN.day, (PlannedStop(LOT, (PlannedStep("batt", 240),)),))
    progress = day_progress(plan, (said("8:00", "started", step="batt"),))
    times = day_times(
        starts_at=SEVEN,
        visits=[TimedVisit(LOT, 0, plan.stops[0].steps)],
        drive=lambda start, end: 20,
        meal=NO_MEAL,
        progress=progress,
    )
    due = next_due(progress, times)
    assert due is not None
    assert (due.at, due.wait) == (at("12:00"), timedelta(hours=1))


def test_how_late_each_house_will_be() -> None:
    """An hour late at the lot, so an hour late at the flat, without any word of the flat."""
    first, second = crew_now("8:20", OUT, said("8:20", "arrived")).arrivals
    assert (first.job, first.is_said, first.late_minutes, first.is_late) == (LOT, True, 60, True)
    assert (second.job, second.is_said, second.late_minutes) == (FLAT, False, 60)
    on_time = crew_now("7:30", OUT, said("7:30", "arrived")).arrivals
    assert [one.is_late for one in on_time] == [False, False]


TOLD = {LOT: Window(at("7:00"), at("9:00")), FLAT: Window(at("10:30"), at("11:30"))}


@pytest.mark.parametrize(
    ("arrived", "now", "expected"),
    [
        ("7:20", "7:20", []),
        ("7:45", "7:45", []),  # 25 minutes late: the flat is reached at 11:25
        ("8:00", "8:00", [Need.WINDOW]),  # at 11:40, told up to 11:30
        ("8:00", "11:00", [Need.WINDOW_SOON]),
    ],
)
def test_a_told_time_that_will_not_be_kept_is_to_be_told_anew(
    arrived: str, now: str, expected: list[Need]
) -> None:
    later = [] if now != "11:00" else [said("8:05", "started", step="air_seal"),
        said("10:05", "finished", step="air_seal", minutes=120),
        said("10:10", "started", step="flat_blow")]  # fmt: skip
    crew = crew_now(now, OUT, said(arrived, "arrived"), *later, told=TOLD)
    assert needs(now, crew) == expected
    if expected:
        (todo,) = what_next([crew], at(now))
        assert (todo.job, todo.at) == (FLAT, at("11:30"))


def test_who_comes_before_the_told_time_is_told_of_too() -> None:
    """Turned away from the lot at 7:30: at the flat by 7:40, where 10:30 was told."""
    away = Away("away", LOT, at("7:30"), is_seen=True)
    crew = crew_now("7:30", OUT, AWAY, told=TOLD, aways=(away,))
    assert needs("7:30", crew) == [Need.WINDOW_SOON]


def test_nobody_is_told_new_times_because_a_crew_says_nothing() -> None:
    """At ten nothing was said yet. It is rung first: perhaps it is there, without signal."""
    crew = crew_now("10:00", told=TOLD)
    assert crew.arrivals[1].breaks_window
    assert needs("10:00", crew) == [Need.NOT_HEARD]


def test_who_knows_no_time_is_rung_until_the_crew_is_there() -> None:
    """No mail reaches them; a time that was told and is broken is one thing to do, not two."""
    untold = frozenset({LOT, FLAT})
    crew = crew_now("7:00", untold=untold)
    found = [(todo.need, todo.job, todo.at) for todo in what_next([crew], at("7:00"))]
    assert found == [(Need.UNTOLD, LOT, at("7:20")), (Need.UNTOLD, FLAT, at("11:00"))]
    assert needs("7:30", crew_now("7:30", OUT, THERE, SEEN, SEALING, untold=untold)) == [
        Need.UNTOLD
    ]
    late = crew_now("8:00", OUT, said("8:00", "arrived"), untold=untold, told=TOLD)
    assert needs("8:00", late) == [Need.WINDOW]


def test_an_arrival_that_was_said_is_no_more_to_be_told() -> None:
    crew = crew_now("9:40", OUT, said("9:40", "arrived"), told={LOT: TOLD[LOT]})
    assert needs("9:40", crew) == []


def test_something_not_true_holds_a_crew_up() -> None:
    """Neither turned away nor at work: it stands there, and is not asked for its next word."""
    not_true = said("7:22", "checked", condition=5, answer="not_true")
    crew = crew_now("10:00", OUT, THERE, not_true)
    (todo,) = what_next([crew], at("10:00"))
    assert (todo.need, todo.job, todo.at) == (Need.NOT_TRUE, LOT, at("7:22"))
    # Turned away, with no other house ready, it rings and waits for the office's word.
    assert needs("10:00", crew_now("10:00", OUT, THERE, not_true, AWAY)) == []


@pytest.mark.parametrize(
    ("is_seen", "proposal", "expected"),
    [
        (False, Proposal.WORKING, [Need.TURNED_AWAY]),
        (False, Proposal.WAITING, [Need.TURNED_AWAY]),
        (True, Proposal.WAITING, [Need.PROPOSAL]),
        (True, Proposal.WORKING, []),
        (True, Proposal.DECIDED, []),
        (True, Proposal.FAILED, []),
    ],
)
def test_turned_away_is_seen_then_its_proposal_decided(
    is_seen: bool, proposal: Proposal, expected: list[Need]
) -> None:
    away = Away("away", LOT, at("7:30"), is_seen, proposal)
    assert needs("7:31", crew_now("7:31", OUT, AWAY, aways=(away,))) == expected


def test_a_day_that_ends_after_its_overtime() -> None:
    crew = replace(crew_now("12:30", OUT, said("12:30", "arrived")), latest_at=at("17:00"))
    (todo,) = what_next([crew], at("12:30"))
    # 12:30 and 3 1/2 h of work, 10 min, 1 h, 30 min home: 17:40.
    assert (todo.need, todo.minutes) == (Need.LATE_HOME, 40)


@pytest.mark.parametrize(
    ("what", "odd"),
    [
        ({"minutes": 90, "bags": 20}, []),
        ({"minutes": 180, "bags": 40}, []),  # twice is not over twice
        ({"minutes": 181, "bags": 41}, ["bags", "minutes"]),
        ({"minutes": 9, "bags": 2}, ["bags", "minutes"]),  # a digit is missing
        ({"minutes": 9, "bags": 2, "whole": False}, []),  # only a part was done
        ({"minutes": 90, "bags": None}, []),
        ({"minutes": 90, "bags": 200, "whole": False}, ["bags"]),
    ],
)
def test_figures_far_from_the_plan_are_asked_about(what: dict[str, Any], odd: list[str]) -> None:
    done = said("11:00", "finished", step="flat_blow", **what)
    crew = crew_now("11:00", *WHOLE_DAY[:6], done)
    assert [todo.figure for todo in what_next([crew], at("11:00"))] == odd
    assert needs("11:00", replace(crew, corrected=frozenset({done.id}))) == []


@pytest.mark.parametrize(
    ("unsent", "photos", "reported", "is_asked"),
    [
        (3, 0, "9:29", True),
        (0, 1, "9:29", True),
        (3, 1, "9:30", False),
        (0, 0, "7:00", False),
        (3, 1, None, False),
    ],
)
def test_what_a_phone_keeps_for_long_is_asked_for(
    unsent: int, photos: int, reported: str | None, is_asked: bool
) -> None:
    heard = at(reported) if reported else None
    phone = PhoneReport(4, unsent, photos, heard, at("7:00"))
    crew = crew_now("10:00", *WHOLE_DAY[:6], phones=(phone,))
    assert needs("10:00", crew) == ([Need.UNSENT] if is_asked else [])


def test_of_a_day_gone_by_the_ends_that_nobody_said_are_asked_for() -> None:
    crew = crew_now("18:00", *WHOLE_DAY[:8], is_over=True, told=TOLD)
    (todo,) = what_next([crew], at("18:00") + timedelta(days=1))
    assert (todo.need, todo.job) == (Need.UNSAID, FLAT)


def everything() -> list[CrewNow]:
    """Five crews at ten, one of each trouble and one as planned."""
    now = "10:00"
    return [
        crew_now(now, *WHOLE_DAY[:6], crew=1, told=TOLD),
        crew_now(now, OUT, AWAY, said("7:32", "set_out", FLAT), said("9:45", "arrived", FLAT),
            crew=2, aways=(Away("a", LOT, at("7:30"), is_seen=False),)),
        crew_now(now, crew=3),
        crew_now(now, OUT, THERE, said("7:22", "checked", condition=5, answer="not_true"), crew=4),
        crew_now(
            now, OUT, said("9:30", "arrived"), crew=5,
            told={FLAT: Window(at("9:00"), at("10:20"))},
            left_out=(LeftOut("l", LOT, at("9:31")),),
            phones=(PhoneReport(9, 2, 0, at("9:00"), at("9:00")),),
        ),
    ]  # fmt: skip


def test_who_stands_idle_comes_first_and_paper_last() -> None:
    assert [(todo.need, todo.crew) for todo in what_next(everything(), at("10:00"))] == [
        (Need.TURNED_AWAY, 2),
        (Need.NOT_TRUE, 4),
        (Need.WINDOW_SOON, 5),
        (Need.NOT_HEARD, 3),
        (Need.LEFT_OUT, 5),
        (Need.UNSENT, 5),
    ]


def test_the_order_of_the_crews_says_nothing() -> None:
    def listed(crews: Iterable[CrewNow]) -> tuple[Todo, ...]:
        return what_next(crews, at("10:00"))

    expected = listed(everything())
    assert all(listed(order) == expected for order in permutations(everything()))
