"""A run says how it stands and what its search proves, in plain words."""

from datetime import timedelta
from typing import Any

import pytest

from scheduling.models import PlanningRun
from scheduling.planning.costs import COSTS
from scheduling.runs.views.words import proof_of, run_status, seconds_of
from scheduling.weeks.views.bill import COST_NAMES, bill_of
from tests.people import NOW

State, Verdict, Wish = PlanningRun.State, PlanningRun.Verdict, PlanningRun.Wish
PLAN = {"format": "week-plan/1", "visits": []}


def run_of(**values: Any) -> PlanningRun:
    return PlanningRun(pk=7, asked_at=NOW, **values)


def outcome(status: str = "feasible", cost: int = 101_300, bound: int = 100_000) -> dict[str, Any]:
    return {"status": status, "cost": cost, "bound": bound, "plan": PLAN}


@pytest.mark.parametrize(
    ("values", "headline"),
    [
        ({"state": State.ASKED_FOR}, "Asked for."),
        ({"state": State.RUNNING, "attempt": 1}, "Searching."),
        ({"state": State.RUNNING, "attempt": 2}, "Searching again."),
        ({"state": State.RUNNING, "wish": Wish.STOP}, "Stopping."),
        ({"state": State.RUNNING, "wish": Wish.CANCEL}, "Cancelling."),
        ({"state": State.CANCELLED}, "Cancelled."),
        ({"state": State.FAILED}, "It failed."),
        ({"state": State.FINISHED, "outcome": outcome()}, "Finished: a plan for $1,013."),
        ({"state": State.STOPPED, "outcome": outcome()}, "Stopped, best plan kept: $1,013."),
        ({"state": State.FINISHED, "outcome": {"plan": None}}, "No plan was found."),
        ({"state": State.FINISHED, "verdict": Verdict.ACCEPTED}, "Accepted."),
        ({"state": State.STOPPED, "verdict": Verdict.THROWN_AWAY}, "Thrown away."),
    ],
)
def test_how_a_run_stands(values: dict[str, Any], headline: str) -> None:
    assert run_status(run_of(**values)).headline == headline


def test_a_failed_run_says_why_and_what_to_do() -> None:
    standing = run_status(run_of(state=State.FAILED, error="The worker was lost three times."))
    assert standing.sentence.startswith("The worker was lost three times.")
    assert "Plan again" in standing.sentence
    assert "run 7" in standing.sentence


def test_proof_is_said_only_when_there_is_one() -> None:
    assert proof_of(outcome("proven", 100, 100)).startswith("Proven: no cheaper plan exists")
    assert proof_of(outcome()) == "At most 1.3 % above the cheapest plan under these rules."


def test_the_share_above_the_cheapest_is_never_rounded_down() -> None:
    assert "0.1 %" in proof_of(outcome(cost=100_001, bound=100_000))


@pytest.mark.parametrize(("bound", "least"), [(0, "$0"), (-100, "$0"), (50_000, "$500")])
def test_a_weak_bound_proves_little(bound: int, least: str) -> None:
    proof = proof_of(outcome(bound=bound))
    assert "not known" in proof
    assert f"No plan can cost less than {least}." in proof


def test_no_plan_no_proof() -> None:
    assert proof_of({"status": "infeasible", "cost": None, "bound": 0, "plan": None}) == ""


def test_every_cost_of_the_planner_has_a_name() -> None:
    assert list(COST_NAMES) == list(COSTS)


def test_the_bill_leaves_out_what_costs_nothing() -> None:
    bill = bill_of({"travel": 1_200, "late": 0, "wait": 400})
    assert [(line.name, line.cents) for line in bill] == [
        ("Driving", 1_200),
        ("Finishing later rather than sooner", 400),
    ]


def test_seconds_are_counted_until_the_end() -> None:
    later = NOW + timedelta(seconds=90)
    assert seconds_of(run_of(), NOW + timedelta(seconds=4.8)) == 4
    assert seconds_of(run_of(ended_at=NOW + timedelta(seconds=12)), later) == 12
    assert seconds_of(run_of(), NOW - timedelta(seconds=3)) == 0
