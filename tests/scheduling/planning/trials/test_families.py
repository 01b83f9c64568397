"""Invented problems: as large as their family, the same for a seed, valid, and replanned ones."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path

import pytest

from scheduling.planning.check import judge
from scheduling.planning.commands import main
from scheduling.planning.placing import placed_steps
from scheduling.planning.plan import Plan
from scheduling.planning.problem import Problem, parse_problem, problem_to_json, read_problem
from scheduling.planning.trials.families import (
    FAMILIES,
    NAMES,
    REPLANNED,
    Family,
    after_slips,
    invented_week,
)
from scheduling.planning.trials.rule_of_thumb import plain_plan
from tests.scheduling.planning.weeks import week


def unasked(problem: Problem) -> Plan:
    raise AssertionError(f"no plan of {len(problem.jobs)} jobs is needed")


@pytest.mark.parametrize("seed", [1, 2, 77])
@pytest.mark.parametrize(("name", "family"), FAMILIES.items())
def test_a_problem_has_the_size_of_its_family_and_is_valid(
    name: str, family: Family, seed: int
) -> None:
    problem = invented_week(name, seed, unasked)
    sizes = (len(problem.jobs), len(problem.crews), len(problem.days))
    assert sizes == (family.jobs, family.crews, family.days)
    assert read_problem(json.dumps(problem_to_json(problem))) == problem
    assert all(step.minutes for job in problem.jobs for step in job.steps)
    assert all(0 in {int(risk) for risk in job.steps[0].risk} for job in problem.jobs)


@pytest.mark.parametrize("name", FAMILIES)
def test_the_same_seed_gives_the_same_and_another_another(name: str) -> None:
    first = invented_week(name, 5, unasked)
    assert invented_week(name, 5, unasked) == first
    assert invented_week(name, 6, unasked) != first


def test_a_seed_gives_the_same_on_every_machine() -> None:
    """Worked out once: were it to change, no two tables of figures could be compared."""
    small = invented_week("small", 1, unasked)
    assert small.travel_minutes[0] == (0, 12, 51, 36, 18, 50, 42, 18, 49, 18, 46)
    assert small.jobs[0].steps[0].minutes == {"crew-1": 130, "crew-2": 130, "crew-3": 130}


def test_crews_are_alike_in_hours_or_differ() -> None:
    for name, family in FAMILIES.items():
        weeks = [invented_week(name, seed, unasked) for seed in range(3)]
        hours = {(crew.minutes, crew.overtime) for week in weeks for crew in week.crews}
        assert (len(hours) == 1) == family.alike, name


def test_a_tight_week_asks_for_more_than_a_medium_one() -> None:
    """Too full to place everything on time, once the drive is added."""
    assert fullness("tight") > 0.75 > fullness("medium") > 0.5


def fullness(name: str) -> float:
    """The mean minutes of each step and all set-ups as a share of what all crews can work."""
    shares = []
    for seed in range(5):
        problem = invented_week(name, seed, unasked)
        work = sum(
            job.setup_minutes
            + sum(sum(step.minutes.values()) / len(step.minutes) for step in job.steps)
            for job in problem.jobs
        )
        shares.append(work / sum(sum(crew.minutes) for crew in problem.crews))
    return sum(shares) / len(shares)


def test_risk_closes_days_and_fades_after_them() -> None:
    for job in invented_week("mixed", 3, unasked).jobs:
        for step in job.steps:
            assert all(before >= after for before, after in pairwise(step.risk))


def test_a_replanned_week_has_two_slips_and_a_crew_off_sick() -> None:
    before = invented_week(REPLANNED, 4, unasked)
    plan = plain_plan(before)
    placed = placed_steps(plan)
    after = invented_week("replan", 4, lambda _: plan)
    assert {(entry.step, entry.crew, entry.day) for entry in after.posted} == {
        (step, found.crew, found.first_day) for step, found in placed.items()
    }
    slipped = [job for job in after.jobs if job != before.job_by_id[job.id]]
    assert len(slipped) == 2
    for job in slipped:
        start = placed[job.steps[0].id].first_day
        assert start < 3
        assert set(job.steps[0].risk[: start + 3]) == {1.0}
        assert min(job.steps[0].risk) < 1
    sick = [crew for crew in after.crews if crew != before.crew_by_id[crew.id]]
    assert len(sick) == 1
    assert (sick[0].minutes[1], sick[0].overtime[1]) == (0, 0)
    assert any((visit.crew, visit.day) == (sick[0].id, 1) for visit in plan.visits)
    assert {found.rule for found in judge(after, plan).violations} >= {1, 6}
    assert judge(before, plan).clean
    assert read_problem(json.dumps(problem_to_json(after))) == after


def test_an_empty_plan_can_be_posted() -> None:
    after = after_slips(week(), Plan(), 1)
    assert after.posted == ()
    assert sum(crew.minutes[1] == 0 for crew in after.crews) >= 1


def test_invent_prints_a_problem_or_writes_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["invent", "small", "9"]) == 0
    printed = parse_problem(json.loads(capsys.readouterr().out))
    assert printed == invented_week("small", 9, unasked)
    out = tmp_path / "small-9.json"
    assert main(["invent", "small", "9", "--out", str(out)]) == 0
    assert read_problem(out.read_bytes()) == printed


def test_a_family_that_is_none_ends_with_2(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(["invent", "gigantic", "1"])
    assert caught.value.code == 2
    complaint = capsys.readouterr().err
    assert all(name in complaint for name in NAMES)
