"""Stays with two days to share, found where they pay; jobs that could have three are bounded."""

from __future__ import annotations

from typing import Any

from scheduling.planning.check import judge
from scheduling.planning.columns.model import Model, kinds_by_name
from scheduling.planning.columns.pairs import jobs_with_three_rests
from scheduling.planning.placing import placed_steps
from scheduling.planning.plan import Plan
from scheduling.planning.problem import Problem
from scheduling.planning.solver import solve
from scheduling.planning.trials.independent import solve_as_mip
from tests.scheduling.planning.random_weeks import random_week
from tests.scheduling.planning.weeks import job_data, step_data, visit, week


def steps(*minutes: int, days: int = 4) -> list[dict[str, Any]]:
    return [step_data(f"A/{i}", {"ash": m}, days) for i, m in enumerate(minutes, 1)]


def test_the_judge_allows_a_whole_day_between_two_rests() -> None:
    """Home and site are 10 minutes apart, set-up 20: 440 minutes fill a day of 480."""
    problem = week(jobs=[job_data("A", "north", steps(300, 400))])
    rests = (
        visit("ash", 0, A={"1": 130}),
        visit("ash", 1, A={"1": 170, "2": 270}),
        visit("ash", 2, A={"2": 130}),
    )
    assert judge(problem, Plan(rests)).clean


def test_such_a_stay_is_found_where_it_pays() -> None:
    """The MIP's optimum of this week has one; without it the best plan costs 31,000."""
    problem = random_week(20)
    outcome, mip = solve(problem, seconds=60, work=4000), solve_as_mip(problem, 60)
    assert outcome.cost == round(mip.cost or 0) == 28_500
    assert outcome.plan is not None
    assert max(len(step.parts) for step in placed_steps(outcome.plan).values()) == 2


def five_days(*minutes: int) -> Problem:
    days = [f"2027-03-0{d}" for d in range(1, 6)]
    return week(
        days=days,
        crews=[{"id": "ash", "home": "yard", "minutes": [200] * 5, "overtime": [0] * 5}],
        machines=[],
        jobs=[job_data("A", "north", steps(*minutes, days=5), promised_day=9)],
    )


def test_four_long_steps_could_have_three_rests_and_three_cannot() -> None:
    def jobs(problem: Problem) -> list[int]:
        return jobs_with_three_rests(Model(problem, kinds_by_name(problem)))

    assert jobs(five_days(150, 150, 150, 150)) == [0]
    assert jobs(five_days(150, 150, 300)) == []
    assert jobs(five_days(20, 20, 20, 20)) == []


def test_a_job_with_three_rests_is_never_called_proven_by_more_than_is_known() -> None:
    problem = five_days(150, 150, 150, 150)
    outcome, mip = solve(problem, seconds=60, work=2000), solve_as_mip(problem, 60)
    assert mip.optimal
    assert outcome.bound <= round(mip.cost or 0) <= (outcome.cost or 0)
