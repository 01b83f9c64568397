"""A first day that has begun: the planner against an independent MIP, and a list of every plan."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from scheduling.planning.check import judge
from scheduling.planning.plan import INFEASIBLE, PROVEN, Part, Plan, Stop, Visit
from scheduling.planning.problem import (
    Assignment,
    Problem,
    ProblemError,
    parse_problem,
    problem_to_json,
)
from scheduling.planning.solver import solve
from scheduling.planning.trials.independent import solve_as_mip
from tests.scheduling.planning.brute_force import best_plan
from tests.scheduling.planning.part_days import begun
from tests.scheduling.planning.random_weeks import random_week
from tests.scheduling.planning.tiny_weeks import tiny_week
from tests.scheduling.planning.weeks import plain, week


@pytest.mark.parametrize("seed", range(16))
def test_planner_and_mip_agree_on_a_day_that_has_begun(seed: int) -> None:
    problem = begun(random_week(seed), seed)
    outcome, mip = solve(problem, seconds=60), solve_as_mip(problem, 60)
    if mip.cost is None:
        assert outcome.status == INFEASIBLE
        return
    assert mip.optimal
    assert outcome.plan is not None
    judgement = judge(problem, outcome.plan)
    assert judgement.clean
    assert (outcome.status, outcome.cost) == (PROVEN, round(mip.cost))
    assert judgement.total == outcome.cost


@pytest.mark.parametrize("seed", [1, 2, 3, 4, 5, 6, 7, 8, 9, 10])
def test_planner_and_list_find_the_same_optimum_of_a_day_that_has_begun(seed: int) -> None:
    problem = begun(tiny_week(seed), seed)
    listed, outcome = best_plan(problem), solve(problem, seconds=60)
    if listed is None:
        assert outcome.status == INFEASIBLE
        return
    assert (outcome.status, outcome.cost) == (PROVEN, listed[0])


def test_the_drive_begins_where_the_crew_is() -> None:
    """On paper: from the south the north is as far as the matrix says, not as from the yard."""
    problem = week()
    crew, job = problem.crews[0], problem.jobs[0]
    there = next(place for place in problem.places if place not in (crew.home, job.place))
    out = replace(crew, starts=(there, *(crew.home,) * (len(problem.days) - 1)))
    moved = replace(problem, crews=(out, *problem.crews[1:]))
    plan = Plan((Visit(crew.id, 0, (Stop(job.id, (Part(job.steps[0].id, 1),)),)),))

    before = judge(problem, plan).costs["travel"]
    after = judge(moved, plan).costs["travel"]

    nearer = problem.drive(crew.home, job.place) - problem.drive(there, job.place)
    assert before - after == nearer * problem.costs.travel_minute != 0


def with_barred(problem: Problem) -> tuple[Problem, Assignment]:
    step = problem.jobs[0].steps[0]
    entry = Assignment(step.id, next(iter(step.minutes)), 0)
    return replace(problem, barred=(entry,)), entry


def test_the_judge_names_who_cannot_start_what_is_barred() -> None:
    problem, entry = with_barred(week())
    stop = Stop(problem.jobs[0].id, (Part(entry.step, 1),))
    found = judge(problem, Plan((Visit(entry.crew, 0, (stop,)),))).violations

    assert [plain(v.finding) for v in found if v.rule == 6] == [
        f"{entry.crew} cannot start {entry.step} on {problem.days[0]}"
    ]
    assert not [
        v for v in judge(week(), Plan((Visit(entry.crew, 0, (stop,)),))).violations if v.rule == 6
    ]


def test_a_file_keeps_where_a_day_starts_and_what_is_barred() -> None:
    problem = begun(random_week(3), 3)
    again = parse_problem(json.loads(json.dumps(problem_to_json(problem))))

    assert problem.barred
    assert again == problem


def test_a_file_that_says_neither_is_as_it_was() -> None:
    data = problem_to_json(week())

    assert "barred" not in data
    assert all("starts" not in crew for crew in data["crews"])


@pytest.mark.parametrize(
    ("path", "value", "message"),
    [
        (("crews", 0, "starts"), ["yard"], "crews[0].starts: 1 values for"),
        (("crews", 0, "starts"), "yard", "crews[0].starts: expected a list"),
        (("barred",), [{"step": "?", "crew": "x", "day": 0}], "barred[0].step: there is no step"),
        (("barred",), 7, "barred: expected a list"),
    ],
)
def test_a_bad_place_or_bar_is_named(
    path: tuple[str | int, ...], value: object, message: str
) -> None:
    data = problem_to_json(week())
    inner = data
    for key in path[:-1]:
        inner = inner[key]  # type: ignore[index]
    inner[path[-1]] = value  # type: ignore[index]

    with pytest.raises(ProblemError, match="^" + message.replace("[", r"\[").replace("?", r"\?")):
        parse_problem(data)
