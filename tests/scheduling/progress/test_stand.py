"""Where a crew stands by what it said, in whatever order that came."""

import random
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from scheduling.progress import (
    ActionKind,
    Check,
    DayFact,
    DayPlan,
    NextAction,
    PlannedStep,
    PlannedStop,
    ReadyHouse,
    StopState,
    day_progress,
    finished_counting,
)

SEVEN = datetime(2027, 3, 1, 13, 0, tzinfo=UTC)
LOT, FLAT = 11, 12
PLAN = DayPlan(
    crew=1,
    day=date(2027, 3, 1),
    stops=(
        PlannedStop(
            LOT,
            (PlannedStep("air_seal", 120), PlannedStep("flat_blow", 90, 20)),
            (Check(5, ("air_seal",)), Check(6, ("flat_blow",))),
        ),
        PlannedStop(FLAT, (PlannedStep("batt", 60),), ready=ReadyHouse.SEEN),
    ),
)


def said(number: int, kind: str, job: int = LOT, **more: Any) -> DayFact:
    return DayFact(f"id-{number:02d}", kind, SEVEN + timedelta(minutes=number), job, **more)


def checked(number: int, condition: int, answer: str) -> DayFact:
    return said(number, "checked", condition=condition, what={"answer": answer})


def finished(number: int, step: str, minutes: int = 60, job: int = LOT) -> DayFact:
    return said(number, "finished", job, step=step, what={"minutes": minutes, "whole": True})


# A whole day as a crew says it, and what comes next after each word.
DAY = (
    (said(1, "set_out"), NextAction(ActionKind.ARRIVED, LOT)),
    (said(20, "arrived"), NextAction(ActionKind.CHECK, LOT, "air_seal")),
    (checked(21, 5, "true"), NextAction(ActionKind.START, LOT, "air_seal")),
    (said(22, "started", step="air_seal"), NextAction(ActionKind.FINISH, LOT, "air_seal")),
    (finished(140, "air_seal", 118), NextAction(ActionKind.CHECK, LOT, "flat_blow")),
    (checked(141, 6, "we_did_it"), NextAction(ActionKind.START, LOT, "flat_blow")),
    (said(150, "started", step="flat_blow"), NextAction(ActionKind.FINISH, LOT, "flat_blow")),
    (finished(240, "flat_blow", 90), NextAction(ActionKind.SET_OUT, FLAT)),
    (said(250, "set_out", FLAT), NextAction(ActionKind.ARRIVED, FLAT)),
    (said(260, "arrived", FLAT), NextAction(ActionKind.START, FLAT, "batt")),
    (said(261, "started", FLAT, step="batt"), NextAction(ActionKind.FINISH, FLAT, "batt")),
    (finished(320, "batt", 58, FLAT), NextAction(ActionKind.DONE)),
)


def test_a_day_begins_with_setting_out() -> None:
    progress = day_progress(PLAN, ())
    assert progress.next_action == NextAction(ActionKind.SET_OUT, LOT)
    assert [stop.state for stop in progress.stops] == [StopState.TO_COME] * 2


def test_each_word_leads_to_the_next_action() -> None:
    facts = [fact for fact, _ in DAY]
    for number, (_, following) in enumerate(DAY, 1):
        assert day_progress(PLAN, facts[:number]).next_action == following


@pytest.mark.parametrize("seed", range(5))
def test_the_order_in_which_facts_come_does_not_matter(seed: int) -> None:
    facts = [fact for fact, _ in DAY]
    shuffled = random.Random(seed).sample(facts, len(facts))
    assert day_progress(PLAN, shuffled) == day_progress(PLAN, facts)
    assert finished_counting(shuffled) == finished_counting(facts)


def test_what_the_day_took() -> None:
    progress = day_progress(PLAN, [fact for fact, _ in DAY])
    lot = progress.stops[0]
    assert (lot.state, lot.set_out_at, lot.arrived_at, lot.ended_at) == (
        StopState.FINISHED,
        SEVEN + timedelta(minutes=1),
        SEVEN + timedelta(minutes=20),
        SEVEN + timedelta(minutes=240),
    )
    assert [step.finished.what["minutes"] for step in lot.steps if step.finished] == [118, 90]
    assert lot.answers == {5: "true", 6: "we_did_it"}


def test_what_is_not_true_turns_the_crew_away() -> None:
    facts = [said(1, "set_out"), said(20, "arrived"), checked(21, 5, "not_true")]
    assert day_progress(PLAN, facts).next_action == NextAction(
        ActionKind.TURN_AWAY, LOT, "air_seal"
    )
    away = said(25, "turned_away", what={"missing": [5], "why": ""})
    progress = day_progress(PLAN, [*facts, away])
    assert progress.stops[0].state == StopState.TURNED_AWAY
    assert progress.stops[0].ended_at == away.at
    assert progress.next_action == NextAction(ActionKind.SET_OUT, FLAT)


@pytest.mark.parametrize(
    ("ready", "following"),
    [
        (ReadyHouse.SEEN, NextAction(ActionKind.SET_OUT, FLAT)),
        (ReadyHouse.REPORTED, NextAction(ActionKind.SET_OUT, FLAT)),
        (ReadyHouse.HELD, NextAction(ActionKind.RING)),
    ],
)
def test_a_crew_that_was_turned_away_goes_nowhere_on_a_guess(
    ready: ReadyHouse, following: NextAction
) -> None:
    plan = replace(PLAN, stops=(PLAN.stops[0], replace(PLAN.stops[1], ready=ready)))
    away = said(25, "turned_away", what={"missing": [5], "why": ""})
    assert day_progress(plan, [away]).next_action == following


def test_a_day_that_ends_at_a_shut_door_is_not_done() -> None:
    away = said(325, "turned_away", FLAT, what={"missing": [], "why": "shut"})
    to_the_last = [fact for fact, _ in DAY[:8]]
    assert day_progress(PLAN, [*to_the_last, away]).next_action == NextAction(ActionKind.RING)


def test_it_goes_where_it_is_surest() -> None:
    third = PlannedStop(13, (PlannedStep("batt", 60),), ready=ReadyHouse.SEEN)
    second = replace(PLAN.stops[1], ready=ReadyHouse.REPORTED)
    plan = replace(PLAN, stops=(PLAN.stops[0], second, third))
    assert day_progress(plan, []).next_action == NextAction(ActionKind.SET_OUT, LOT)
    away = said(25, "turned_away", what={"missing": [5], "why": ""})
    assert day_progress(plan, [away]).next_action == NextAction(ActionKind.SET_OUT, 13)


def test_a_crew_that_is_let_in_after_all_is_not_turned_away() -> None:
    facts = [
        said(25, "turned_away", what={"missing": [5], "why": ""}),
        checked(40, 5, "true"),
        said(41, "started", step="air_seal"),
    ]
    progress = day_progress(PLAN, facts)
    assert progress.stops[0].turned_away is None
    assert progress.next_action == NextAction(ActionKind.FINISH, LOT, "air_seal")


def test_the_last_answer_to_a_check_counts() -> None:
    facts = [said(20, "arrived"), checked(21, 5, "not_true"), checked(30, 5, "true")]
    assert day_progress(PLAN, facts).next_action == NextAction(ActionKind.START, LOT, "air_seal")


def test_two_leads_never_double_the_minutes() -> None:
    twice = [finished(140, "air_seal", 118), finished(143, "air_seal", 121)]
    counting = finished_counting(twice)
    assert [fact.what["minutes"] for fact in counting.values()] == [121]


def test_a_step_begun_again_is_worked_on_again() -> None:
    facts = [
        said(20, "arrived"),
        said(22, "started", step="air_seal"),
        finished(100, "air_seal"),
        said(110, "started", step="air_seal"),
    ]
    step = day_progress(PLAN, facts).stops[0].steps[0]
    assert (step.is_working, step.started_at) == (True, SEVEN + timedelta(minutes=110))


def test_words_left_out_are_understood() -> None:
    """A lead who only ever says that steps are finished was there all the same."""
    progress = day_progress(PLAN, [finished(140, "air_seal"), finished(240, "flat_blow")])
    assert progress.stops[0].state == StopState.FINISHED
    assert progress.stops[0].arrived_at == SEVEN + timedelta(minutes=140)
    assert progress.next_action == NextAction(ActionKind.SET_OUT, FLAT)


def test_a_house_that_is_not_on_the_day_stands_apart() -> None:
    facts = [said(20, "arrived", 99), finished(60, "batt", 30, 99)]
    progress = day_progress(PLAN, facts)
    assert [(stop.job, stop.planned, stop.state) for stop in progress.others] == [
        (99, None, StopState.FINISHED)
    ]
    assert progress.next_action == NextAction(ActionKind.SET_OUT, LOT)


def test_the_house_spoken_of_last_is_the_one_at_hand() -> None:
    facts = [said(20, "arrived"), said(30, "set_out", FLAT)]
    assert day_progress(PLAN, facts).next_action == NextAction(ActionKind.ARRIVED, FLAT)
