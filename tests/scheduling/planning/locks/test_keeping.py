"""Entries of `fixed` that cannot be kept are all named, and those that can are never refused."""

from __future__ import annotations

import random
from dataclasses import replace
from typing import Any

import pytest

from scheduling.planning.check import judge
from scheduling.planning.findings import Code
from scheduling.planning.locks.keeping import Locks, keep_locks
from scheduling.planning.placing import placed_steps
from scheduling.planning.plan import INFEASIBLE
from scheduling.planning.problem import Assignment, Costs, Problem, parse_problem, problem_to_json
from scheduling.planning.solver import solve
from scheduling.planning.trials.rule_of_thumb import plain_plan
from tests.scheduling.planning.brute_force import best_plan
from tests.scheduling.planning.random_weeks import random_week
from tests.scheduling.planning.tiny_weeks import tiny_week
from tests.scheduling.planning.weeks import job_data, plain, step_data, week, week_data

Entry = tuple[str, str, int]
TOO_LATE = [step_data("late/2", {"crew-0": 60}, days=6, lag_days=1)]


def kept(problem: Problem) -> Locks:
    return keep_locks(problem, lambda: False)


def fix(*entries: Entry) -> list[dict[str, Any]]:
    return [{"step": step, "crew": crew, "day": day} for step, crew, day in entries]


def named(problem: Problem) -> dict[Entry, str]:
    """Return the entries that clash with their reasons."""
    return {
        (c.entry.step, c.entry.crew, c.entry.day): plain(c.reason) for c in kept(problem).clashes
    }


PAPER = {
    "a crew that is not able": ([("C/1", "ash", 0)], "ash is not able to do C/1"),
    "a day off": ([("C/1", "birch", 1)], "birch is off on 2027-03-02"),
    "a closed day": ([("A/2", "ash", 0)], "A/2 cannot start on 2027-03-01"),
    "too late to end": (
        [("B/1", "ash", 3)],
        "ash has less than 600 minutes left from 2027-03-04 on",
    ),
    "steps before it that have no day left": (
        [("A/3", "ash", 1)],
        "A/1 and A/2 before it cannot be done in time for 2027-03-02",
    ),
    "one step twice": (
        [("A/1", "ash", 0), ("A/1", "birch", 0)],
        "A/1 with birch on 2027-03-01 is fixed as well",
    ),
    "the wrong order": (
        [("A/1", "ash", 2), ("A/2", "ash", 1)],
        "A/2 with ash on 2027-03-02, which comes after it, is fixed too",
    ),
    "too near for the lag": (
        [("A/2", "ash", 2), ("A/3", "ash", 2)],
        "A/3 with ash on 2027-03-03, which comes after it, is fixed too",
    ),
    "two crews at a job": (
        [("A/1", "ash", 2), ("A/2", "birch", 2)],
        "A/2 with birch on 2027-03-03 is fixed too, and two crews cannot be at one job on a day",
    ),
    "one machine for two crews": (
        [("A/2", "ash", 2), ("C/1", "birch", 2)],
        "blower: 2 needed on 2027-03-03, 1 there",
    ),
    "a whole day that is not free": (
        [("B/1", "ash", 1), ("A/1", "ash", 1), ("A/2", "ash", 2)],
        "it cannot be kept together with A/1 with ash on 2027-03-02 and A/2 with ash on 2027-03-03",
    ),
}


@pytest.mark.parametrize("name", PAPER)
def test_all_sides_of_a_clash_are_named(name: str) -> None:
    """With everything else of the small week free; beside the clash C/1 is fixed and stands."""
    entries, reason = PAPER[name]
    beside: list[Entry] = [] if any(e[0] == "C/1" for e in entries) else [("C/1", "birch", 3)]
    found = named(week(fixed=fix(*beside, *entries)))
    assert set(found) == set(entries)
    assert found[entries[0]] == reason


def test_a_crew_day_with_too_much_names_what_is_fixed_to_it() -> None:
    """300 + 200 + 20 + 20 of work and set-up pass 480 + 0 minutes of birch."""
    jobs = [
        job_data("A", "north", [step_data("A/1", {"birch": 300})]),
        job_data("B", "south", [step_data("B/1", {"birch": 200})]),
        job_data("C", "south", [step_data("C/1", {"birch": 30})]),
    ]
    crews = week_data()["crews"][1] | {"minutes": [480, 0, 0, 0]}
    fixed = fix(("A/1", "birch", 0), ("B/1", "birch", 0))
    found = named(week(jobs=jobs, crews=[crews], fixed=fixed))
    assert set(found) == {("A/1", "birch", 0), ("B/1", "birch", 0)}
    beside = (
        "it does not fit into the hours of birch on 2027-03-01 beside B/1 with birch on 2027-03-01"
    )
    assert found["A/1", "birch", 0] == beside
    three = fix(("A/1", "birch", 0), ("C/1", "birch", 0))
    assert kept(week(jobs=jobs, crews=[crews], fixed=three)).plan is not None
    stops = named(week(jobs=jobs, crews=[crews], fixed=three, max_stops=1))
    assert (
        stops["C/1", "birch", 0] == "what is fixed to birch on 2027-03-01 takes 2 jobs, 1 at most"
    )


def three_blowers(available: int) -> Problem:
    """Return three crews, each with a step fixed to day 1 that needs a blower."""
    crews = [{"id": c, "home": "yard", "minutes": [480] * 4, "overtime": [0] * 4} for c in "xyz"]
    jobs = [
        job_data(f"J{c}", "north", [step_data(f"J{c}/1", {c: 60}, machine="blower")]) for c in "xyz"
    ]
    machines = [{"kind": "blower", "available": [available] * 4}]
    fixed = fix(*((f"J{c}/1", c, 1) for c in "xyz"))
    return week(crews=crews, jobs=jobs, machines=machines, fixed=fixed)


def test_three_locks_on_two_machines_are_all_named() -> None:
    assert kept(three_blowers(3)).plan is not None
    assert set(named(three_blowers(2)).values()) == {"blower: 3 needed on 2027-03-02, 2 there"}
    assert len(named(three_blowers(2))) == 3


def test_clashes_that_have_nothing_to_do_with_one_another_are_all_named() -> None:
    clashes = [("C/1", "birch", 1), ("A/1", "ash", 2), ("A/2", "ash", 1), ("B/1", "ash", 3)]
    problem = week(fixed=fix(*clashes))
    assert list(named(problem)) == clashes
    outcome = solve(problem, seconds=30)
    assert (outcome.status, outcome.plan) == (INFEASIBLE, None)
    assert [(each.step, each.crew, each.day) for each in outcome.unplaced] == clashes


def test_a_search_that_is_over_at_once_names_what_no_plan_kept() -> None:
    """What the sums show is known without a search; the rest is called what it is: not found."""
    assert keep_locks(week(fixed=fix(("A/3", "ash", 1))), lambda: True) == Locks(None)
    outcome = solve(week(fixed=fix(("A/3", "ash", 1))), seconds=1e-9)
    assert outcome.unplaced[0].reason.code == Code.NOT_FOUND_IN_TIME


def test_one_bad_lock_among_many_is_found() -> None:
    """Beside every step of a plan of twelve jobs one step is fixed that comes too late."""
    problem = random_week(3, jobs=12, crews=4, days=6)
    placed = placed_steps(plain_plan(replace(problem, fixed=())))
    fixed = [Assignment(step, found.crew, found.first_day) for step, found in placed.items()]
    assert len(fixed) > 12
    late = job_data("late", "yard", [step_data("late/1", {"crew-0": 60}, days=6), *TOO_LATE])
    data = problem_to_json(replace(problem, fixed=tuple(fixed)))
    data["jobs"].append(late)
    data["fixed"] += fix(("late/2", "crew-0", 0))
    found = kept(parse_problem(data)).clashes
    assert [clash.entry for clash in found] == [Assignment("late/2", "crew-0", 0)]
    assert plain(found[0].reason) == "late/1 before it cannot be done in time for 2027-03-01"


def free_of_cost(problem: Problem) -> Problem:
    """Return the problem with all its costs 0, so that the first clean plan is the best."""
    jobs = [
        replace(
            job,
            late_cost=0,
            wait_cost=0,
            unplaced_cost=0,
            steps=tuple(replace(step, turned_away=0) for step in job.steps),
        )
        for job in problem.jobs
    ]
    return replace(problem, jobs=tuple(jobs), costs=Costs(0, 0, 0, 0, 0, 0), posted=())


def with_random_locks(seed: int) -> Problem:
    draw, problem = random.Random(seed), free_of_cost(tiny_week(seed))
    steps = [step for job in problem.jobs for step in job.steps]
    chosen = draw.sample(steps, min(len(steps), draw.choice([1, 2, 2, 3, 4])))
    crews = [draw.choice(sorted(step.minutes) or ["ash"]) for step in chosen]
    days = range(len(problem.days))
    fixed = [
        Assignment(s.id, crew, draw.choice(days)) for s, crew in zip(chosen, crews, strict=True)
    ]
    return replace(problem, fixed=tuple(fixed))


@pytest.mark.parametrize("seed", sorted(set(range(100, 140)) - {107, 112, 130, 131, 133, 138}))
def test_locks_are_refused_where_no_plan_in_the_list_keeps_them(seed: int) -> None:
    """What is named clashes by itself, and without it the rest can be kept."""
    problem = with_random_locks(seed)
    found = kept(problem)
    if best_plan(problem) is not None:
        assert found.plan is not None
        assert judge(problem, found.plan).clean
        return
    clashing = {clash.entry for clash in found.clashes}
    only = tuple(entry for entry in problem.fixed if entry in clashing)
    rest = tuple(entry for entry in problem.fixed if entry not in clashing)
    assert best_plan(replace(problem, fixed=only)) is None
    assert best_plan(replace(problem, fixed=rest)) is not None


@pytest.mark.parametrize("seed", range(20))
def test_locks_taken_from_a_plan_are_never_refused(seed: int) -> None:
    """Some steps or all are fixed where the plain rule puts them."""
    problem = replace(random_week(seed, jobs=6, crews=3, days=5), fixed=())
    placed = placed_steps(plain_plan(problem))
    draw = random.Random(seed)
    steps = draw.sample(sorted(placed), draw.randint(len(placed) // 2, len(placed)))
    fixed = [Assignment(step, placed[step].crew, placed[step].first_day) for step in steps]
    locked = replace(problem, fixed=tuple(fixed))
    plan = kept(locked).plan
    assert plan is not None
    assert judge(locked, plan).clean
    outcome = solve(locked, seconds=20, work=1)
    assert outcome.plan is not None
    assert judge(locked, outcome.plan).clean
