"""The plan's file and the outcome around it."""

from __future__ import annotations

import json

import pytest

from scheduling.planning.findings import Code, finding
from scheduling.planning.plan import (
    MachineUse,
    Outcome,
    PlanError,
    Unplaced,
    outcome_to_json,
    parse_plan,
    plan_to_json,
    read_plan,
)
from tests.scheduling.planning.weeks import clean_plan, week


def test_a_plan_survives_being_written_and_read() -> None:
    assert parse_plan(plan_to_json(clean_plan())) == clean_plan()


def test_the_plan_inside_an_outcome_is_read_too() -> None:
    outcome = Outcome("feasible", 1000, 900, 1.23456, clean_plan())
    assert read_plan(json.dumps(outcome_to_json(outcome, week().days))) == clean_plan()


def test_an_outcome_is_written_with_all_that_the_format_names() -> None:
    outcome = Outcome(
        status="feasible",
        cost=1000,
        bound=900,
        seconds=1.23456,
        plan=clean_plan(),
        costs={"travel": 1000},
        unplaced=(
            Unplaced("D/1", finding(Code.NOBODY_ABLE, step="D/1")),
            Unplaced("D/2", finding(Code.CREW_OFF, crew="ash", day=1), "ash", 1),
        ),
        machines=(MachineUse("ash", 1, ("blower",)),),
    )
    data = outcome_to_json(outcome, week().days)
    assert data["format"] == "week-outcome/1"
    assert (data["gap"], data["seconds"]) == (0.1, 1.235)
    assert data["unplaced"][0] == {
        "step": "D/1",
        "reason": "no crew is able to do D/1",
        "code": "nobody_able",
        "values": {"step": "D/1"},
    }
    assert data["unplaced"][1] == {
        "step": "D/2",
        "reason": "ash is off on 2027-03-02",
        "code": "crew_off",
        "values": {"crew": "ash", "day": 1},
        "crew": "ash",
        "day": 1,
    }
    assert data["machines"] == [{"crew": "ash", "day": 1, "kinds": ["blower"]}]


def test_without_a_plan_there_is_no_gap() -> None:
    assert Outcome("infeasible", None, 5, 0.1, None).gap is None
    assert Outcome("proven", 0, 0, 0.1, clean_plan()).gap == 0


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ([], "file: expected an object"),
        ({"format": "week-plan/2", "visits": []}, 'format: expected "week-plan/1"'),
        ({"format": "week-plan/1"}, "visits: missing"),
        ({"format": "week-plan/1", "visits": [{"crew": "a"}]}, r"visits\[0\]\.stops: missing"),
        (
            {"format": "week-plan/1", "visits": [{"crew": "a", "day": -1, "stops": []}]},
            r"visits\[0\]\.day: expected a whole number",
        ),
    ],
)
def test_a_bad_plan_is_named_by_its_path(data: object, message: str) -> None:
    with pytest.raises(PlanError, match=f"^{message}"):
        parse_plan(data)
