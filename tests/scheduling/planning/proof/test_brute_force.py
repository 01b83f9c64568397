"""Planner, MIP and judge against a list of every plan, on tiny problems of every shape."""

from __future__ import annotations

import pytest

from scheduling.planning.check import judge
from scheduling.planning.plan import INFEASIBLE, PROVEN
from scheduling.planning.problem import Problem
from scheduling.planning.solver import solve
from scheduling.planning.trials.independent import solve_as_mip
from tests.scheduling.planning.brute_force import best_plan, plan_of, ways_of
from tests.scheduling.planning.tiny_weeks import tiny_week
from tests.scheduling.planning.weeks import job_data, step_data, week

# Listing takes more than a quarter of a second for these; they were tried by hand.
LONG = {0, 11, 12, 17, 24, 27, 41, 50, 53}
# In this one a step's rest fits its day only beside another stop on a short cut.
SHORT_CUT = 343


@pytest.mark.parametrize("seed", [*sorted(set(range(60)) - LONG), SHORT_CUT])
def test_planner_mip_and_list_find_the_same_optimum(seed: int) -> None:
    problem = tiny_week(seed)
    listed = best_plan(problem)
    outcome, mip = solve(problem, seconds=60), solve_as_mip(problem, 60)
    if listed is None:
        assert (outcome.status, mip.cost) == (INFEASIBLE, None)
        return
    cost, plan = listed
    assert judge(problem, plan).clean
    assert mip.optimal
    assert (outcome.status, outcome.cost, round(mip.cost or 0)) == (PROVEN, cost, cost)


def short_days(*minutes: int, **changes: object) -> Problem:
    """Return ash alone with days of 20 minutes, 2 of them drive, and steps of these minutes."""
    crew = {"id": "ash", "home": "yard", "minutes": [20] * 3, "overtime": [4] * 3}
    steps = [step_data(f"A/{i}", {"ash": m}, days=3) for i, m in enumerate(minutes, 1)]
    data = {
        "days": ["2027-03-01", "2027-03-02", "2027-03-03"],
        "travel_minutes": [[0, 1, 1], [1, 0, 1], [1, 1, 0]],
        "crews": [crew],
        "machines": [{"kind": "blower", "available": [1] * 3}],
        "jobs": [job_data("A", "north", steps, setup_minutes=2)],
        "min_part_minutes": 3,
    }
    return week(**(data | changes))


def splits(problem: Problem) -> set[tuple[tuple[int, int], ...]]:
    """Return every clean way to do the whole job, as (day, minutes) of its parts."""
    job = problem.jobs[0]
    ways = [w for w in ways_of(problem, job) if judge(problem, plan_of(problem, [w])).clean]
    whole = [way for way in ways if {p[2] for p in way.pieces} == {s.id for s in job.steps}]
    return {tuple((day, minutes) for _, day, _, minutes in way.pieces) for way in whole}


def test_the_list_holds_every_split_that_paper_allows() -> None:
    """Sixteen minutes of work fill a day, twenty with overtime.

    Of 30 minutes a whole day leaves 14 as the rest, before or after it. Over three days two
    whole ones are more than there is to do.
    """
    days = {((a, first), (a + 1, 30 - first)) for a in (0, 1) for first in (14, 16)}
    assert splits(short_days(30)) == days


def test_the_list_holds_rests_in_overtime_and_whole_days_that_fall_short() -> None:
    """36 = 16 + 20 in overtime, or 16 + 16 + 4; 17 = 17 in overtime, or 14 + 3 and 3 + 14."""
    two = {((a, first), (a + 1, 36 - first)) for a in (0, 1) for first in (16, 20)}
    three = {((0, 16), (1, 16), (2, 4)), ((0, 4), (1, 16), (2, 16))}
    assert splits(short_days(36)) == two | three
    one = {((a, 17),) for a in range(3)}
    short = {((a, first), (a + 1, 17 - first)) for a in (0, 1) for first in (3, 14)}
    assert splits(short_days(17)) == one | short


def test_the_list_holds_two_steps_that_share_a_day() -> None:
    """26 and 22 minutes are all that three days hold: 16, 10 and 6, 16 is one way."""
    found = splits(short_days(26, 22))
    assert ((0, 16), (1, 10), (1, 6), (2, 16)) in found
    assert all((parts[0][0], parts[-1][0]) == (0, 2) for parts in found)
