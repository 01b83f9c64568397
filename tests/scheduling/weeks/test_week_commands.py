"""The commands for a week: JSON alone on standard output, clear words on standard error."""

import json
from datetime import UTC, datetime
from io import StringIO
from typing import Any

import pytest
import time_machine
from django.core.management import CommandError, call_command

from jobs.models import Job
from scheduling.models import CrewDay, PlanningRun, WeekVersion
from scheduling.planning.check import judge
from scheduling.planning.plan import parse_plan
from scheduling.planning.problem import parse_problem
from tests.people import NOW, Company
from tests.scheduling.houses import condition_make, day, house_make

CHOICE = ("--branch", "Fairfield yard", "--week", "2027-W09")


@pytest.fixture(autouse=True)
def _thursday_before() -> Any:
    with time_machine.travel(NOW, tick=True):
        yield


@pytest.fixture
def lots(company: Company) -> list[Job]:
    work = {"air_seal": 120, "flat_blow": 100}
    return [house_make(company, f"Lot {n}", work, site=f"Site {n}") for n in range(4)]


def run(name: str, *options: str) -> tuple[str, str]:
    out, err = StringIO(), StringIO()
    call_command(name, *options, stdout=out, stderr=err)
    return out.getvalue(), err.getvalue()


def test_plan_week_prints_the_outcome_and_drafts_it(lots: list[Job]) -> None:
    out, err = run("plan_week", *CHOICE, "--weeks", "1", "--seconds", "1")
    outcome = json.loads(out)
    assert outcome["format"] == "week-outcome/1"
    assert outcome["unplaced"] == []
    assert err == "drafted: 2027-W09\n"
    assert WeekVersion.objects.get().state == "draft"
    assert {stop.job for day_ in CrewDay.objects.all() for stop in day_.stops.all()} == set(lots)
    assert PlanningRun.objects.get().verdict == "accepted"


def test_plan_week_posts_when_asked(lots: list[Job]) -> None:
    _, err = run("plan_week", *CHOICE, "--seconds", "1", "--post")
    assert "posted: 2027-W09\n" in err
    assert {version.state for version in WeekVersion.objects.all()} == {"posted"}


def test_the_exported_plan_is_clean_against_the_exported_problem(lots: list[Job]) -> None:
    run("plan_week", *CHOICE, "--seconds", "1", "--post")
    problem = parse_problem(json.loads(run("export_problem", *CHOICE)[0]))
    plan = parse_plan(json.loads(run("export_plan", *CHOICE)[0]))
    found = judge(problem, plan)
    assert found.clean
    assert found.costs["unplaced"] == 0
    assert {entry.step for entry in problem.posted} == {part.step for _, _, part in plan.parts()}


def test_what_facts_overtook_is_named_and_the_plan_stays_clean(lots: list[Job]) -> None:
    run("plan_week", *CHOICE, "--seconds", "1", "--post")
    condition_make(lots[0], ["air_seal"], state="promised", promised_for=day(30))
    problem = parse_problem(json.loads(run("export_problem", *CHOICE)[0]))
    out, err = run("export_plan", *CHOICE)
    assert judge(problem, parse_plan(json.loads(out))).clean
    assert "air sealing at Site 0, Lot 0 fell out" in err


def test_jobs_left_off_are_named_on_standard_error(company: Company) -> None:
    job = house_make(company, "Lot 1", {"air_seal": 60}, ready_date=None)
    condition_make(job, ["air_seal"])
    _, err = run("export_problem", *CHOICE)
    assert err.startswith("left off: Quarry Lane 1, Lot 1: chase cover: owed by builder, no date")


@pytest.mark.parametrize("name", ["plan_week", "export_problem", "export_plan"])
@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--branch", "Nowhere", "--week", "2027-W09"), "Branches: Fairfield yard, Lowton yard"),
        (("--branch", "Fairfield yard", "--week", "9"), "such as 2027-W09"),
        (("--branch", "Fairfield yard", "--week", "2027-W54"), "2027 has weeks 01 to 52"),
        ((*CHOICE, "--weeks", "9"), "expected 1 to 6"),
        (("--branch", "Fairfield yard", "--week", "2026-W02"), "no working day left"),
    ],
)
def test_a_wrong_choice_says_what_was_expected(
    company: Company, name: str, options: tuple[str, ...], words: str
) -> None:
    with pytest.raises(CommandError, match=words):
        run(name, *options)
    assert not PlanningRun.objects.exists()


def test_plan_week_refuses_odd_seconds(company: Company) -> None:
    with pytest.raises(CommandError, match="--seconds 0: expected 1 to 600"):
        run("plan_week", *CHOICE, "--seconds", "0")


def test_plan_week_does_not_push_in_before_a_run_under_way(company: Company) -> None:
    PlanningRun.objects.create(
        branch=company.fairfield,
        first_monday=day(0),
        problem={},
        asked_at=datetime(2027, 2, 25, 14, 0, tzinfo=UTC),
    )
    with pytest.raises(CommandError, match="is planning for this branch already"):
        run("plan_week", *CHOICE, "--seconds", "1")
