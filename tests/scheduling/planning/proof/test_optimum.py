"""The planner's optimum against an independent MIP (SciPy's HiGHS) on random small problems."""

from __future__ import annotations

import pytest

from scheduling.planning.check import judge
from scheduling.planning.plan import INFEASIBLE, PROVEN
from scheduling.planning.solver import solve
from scheduling.planning.trials.independent import solve_as_mip
from tests.scheduling.planning.random_weeks import random_week
from tests.scheduling.planning.weeks import week


@pytest.mark.parametrize("seed", range(30))
def test_planner_and_mip_agree(seed: int) -> None:
    """Among these seeds are divided steps of every shape, locks, machines, hand-offs, posts."""
    problem = random_week(seed)
    outcome, mip = solve(problem, seconds=60), solve_as_mip(problem, 60)
    if mip.cost is None:
        assert outcome.status == INFEASIBLE
        return
    assert mip.optimal
    assert outcome.plan is not None
    judgement = judge(problem, outcome.plan)
    assert judgement.clean
    assert judgement.total == outcome.cost
    assert (outcome.status, outcome.cost) == (PROVEN, round(mip.cost))


def test_the_paper_week_costs_the_same_for_both() -> None:
    outcome = solve(week(), seconds=60)
    assert (outcome.status, outcome.cost) == (PROVEN, round(solve_as_mip(week(), 60).cost or 0))
