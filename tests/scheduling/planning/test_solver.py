"""The solver's promises: clean plans, a true bound, an end when asked, the same plan again."""

from __future__ import annotations

import time
from typing import Any

import pytest

from scheduling.planning.check import judge
from scheduling.planning.plan import Outcome, Plan, outcome_to_json
from scheduling.planning.problem import Problem
from scheduling.planning.session import Progress
from scheduling.planning.solver import solve
from tests.scheduling.planning.weeks import clean_plan, job_data, plain, step_data, visit, week


def solved(problem: Problem, **options: Any) -> Outcome:
    outcome = solve(problem, **({"seconds": 30, "work": 300} | options))
    assert outcome.plan is not None
    judgement = judge(problem, outcome.plan)
    assert judgement.clean
    assert judgement.total == outcome.cost
    assert outcome.bound <= judgement.total
    return outcome


def test_the_small_week_is_planned_as_paper_says() -> None:
    """Nothing left out; A/1 and A/2 on day 1 or later, A/3 a day after, B whole day and rest."""
    outcome = solved(week())
    assert outcome.unplaced == ()
    assert outcome.cost is not None
    assert outcome.cost <= judge(week(), clean_plan()).total


def test_a_step_that_nobody_can_do_is_left_out_with_the_reason() -> None:
    jobs = [job_data("A", "north", [step_data("A/1", {}), step_data("A/2", {"ash": 60})])]
    outcome = solved(week(jobs=jobs))
    assert [plain(entry.reason) for entry in outcome.unplaced] == [
        "no crew is able to do A/1",
        "A/1 before it is left out",
    ]


def test_machines_are_listed_by_crew_day() -> None:
    outcome = solved(week())
    uses = {(use.crew, use.day): use.kinds for use in outcome.machines}
    assert ("blower",) in uses.values()
    assert outcome_to_json(outcome, week().days)["machines"]


def test_a_lock_that_can_be_kept_is_kept() -> None:
    fixed = [{"step": "B/1", "crew": "birch", "day": 2}]
    assert solved(week(fixed=fixed)).status != "infeasible"


CLASHES = {
    "an off day": [{"step": "C/1", "crew": "birch", "day": 1}],
    "a crew that is not able": [{"step": "C/1", "crew": "ash", "day": 0}],
    "a closed day": [{"step": "A/2", "crew": "ash", "day": 0}],
    "the wrong order": [
        {"step": "A/1", "crew": "ash", "day": 2},
        {"step": "A/2", "crew": "ash", "day": 1},
    ],
    "two days at once": [
        {"step": "A/1", "crew": "ash", "day": 0},
        {"step": "A/1", "crew": "ash", "day": 1},
    ],
}


@pytest.mark.parametrize("name", CLASHES)
def test_locks_that_break_a_rule_are_named(name: str) -> None:
    outcome = solve(week(fixed=CLASHES[name]), seconds=5, work=200)
    assert (outcome.status, outcome.plan, outcome.cost) == ("infeasible", None, None)
    named = {(entry.step, entry.crew, entry.day) for entry in outcome.unplaced}
    wanted = {(entry["step"], entry["crew"], entry["day"]) for entry in CLASHES[name]}
    assert named == wanted


def test_progress_only_gets_better() -> None:
    seen: list[Progress] = []
    outcome = solved(week(), on_progress=seen.append)
    costs = [progress.cost for progress in seen]
    bounds = [progress.bound for progress in seen]
    assert costs == sorted(costs, reverse=True)
    assert bounds == sorted(bounds)
    assert seen[-1].cost == outcome.cost
    assert judge(week(), seen[0].plan).total == seen[0].cost


def test_it_stops_when_asked_and_keeps_the_best() -> None:
    asked: list[float] = []

    def stop() -> bool:
        asked.append(time.monotonic())
        return len(asked) > 3

    outcome = solve(week(), seconds=60, should_stop=stop)
    assert outcome.status in {"stopped", "proven"}
    assert outcome.plan is not None
    assert judge(week(), outcome.plan).clean


def test_same_seed_and_work_same_plan() -> None:
    first, second = (solved(week(), seed=3, work=120) for _ in range(2))
    assert first.plan == second.plan
    assert (first.cost, first.bound, first.status) == (second.cost, second.bound, second.status)


def test_it_is_never_worse_than_the_plan_it_starts_from() -> None:
    outcome = solved(week(), start=clean_plan(), work=1)
    assert outcome.cost is not None
    assert outcome.cost <= judge(week(), clean_plan()).total


def test_a_start_that_breaks_rules_is_used_as_far_as_it_stands() -> None:
    broken = Plan((*clean_plan().visits, visit("elm", 0, Z={"1": 30}), visit("birch", 1, A={})))
    assert solved(week(), start=broken, work=1).plan is not None


def test_nothing_to_do_is_proven_at_once() -> None:
    outcome = solved(week(jobs=[]))
    assert (outcome.status, outcome.cost, outcome.bound) == ("proven", 0, 0)
    assert outcome.plan == Plan()


def test_without_crews_everything_is_left_out() -> None:
    jobs = [job_data("A", "north", [step_data("A/1", {})])]
    outcome = solved(week(crews=[], machines=[], jobs=jobs))
    assert outcome.costs["unplaced"] == 120_000
