"""One run solved by a direct call: progress, outcome, what an attempt may leave undone."""

from datetime import datetime, timedelta
from typing import Any

import pytest

from contractor.access import scope_of
from jobs.models import Job
from scheduling.models import PlanningRun
from scheduling.planning.check import judge
from scheduling.planning.plan import Outcome, Part, Plan, Stop, Visit, parse_plan, plan_to_json
from scheduling.planning.problem import parse_problem
from scheduling.planning.session import Progress
from scheduling.runs.execute import MOST_POINTS, BadPlanError, Watch, run_execute_alone
from scheduling.runs.queries.runs import run_page, run_visible
from scheduling.runs.services.runs import run_ask
from tests.people import ACTOR, NOW, TODAY, Company
from tests.scheduling.houses import WEEK, house_make

State = PlanningRun.State


def clock() -> datetime:
    return NOW + timedelta(seconds=3)


@pytest.fixture
def run(company: Company) -> PlanningRun:
    for number in range(3):
        house_make(company, f"Lot {number}", {"air_seal": 90, "flat_blow": 100})
    return run_ask(
        actor=ACTOR,
        branch=company.fairfield,
        first=WEEK,
        weeks=1,
        seconds=1,
        now=NOW,
        today=TODAY,
    )


def solve(run: PlanningRun) -> PlanningRun:
    assert run_execute_alone(run_id=run.pk, owner="test", clock=clock)
    run.refresh_from_db()
    return run


def test_the_outcome_is_a_proposal_that_the_judge_finds_clean(run: PlanningRun) -> None:
    solve(run)
    assert (run.state, run.is_proposal, run.ended_at) == (State.FINISHED, True, clock())
    assert run.outcome is not None
    problem, plan = parse_problem(run.problem), parse_plan(run.outcome["plan"])
    found = judge(problem, plan)
    assert (found.violations, found.total) == ((), run.outcome["cost"])
    assert run.progress[-1]["cost"] == run.outcome["cost"]
    assert run.best_plan == run.outcome["plan"]


def test_the_run_page_tells_what_would_move(run: PlanningRun) -> None:
    assert run_page(run=run).is_starting
    shown = run_page(run=solve(run))
    kinds = ("air sealing", "flat blow")
    assert sum(kind in change for change in shown.changes for kind in kinds) == 6
    assert all(" is new on " in change or " are new on " in change for change in shown.changes)
    assert shown.points[-1][1] == shown.cost
    assert not shown.is_starting


def test_runs_of_other_branches_are_not_there(run: PlanningRun, company: Company) -> None:
    assert run_visible(scope_of(company.omar), run.pk) == run
    assert run_visible(scope_of(company.lena), run.pk) is None
    assert run_visible(scope_of(company.cleo), run.pk) is None
    assert run_visible(scope_of(company.omar), run.pk + 1) is None


def test_a_plan_that_the_judge_refuses_is_shown_to_nobody(
    run: PlanningRun, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = Job.objects.all()[0]
    step = job.steps.all()[0]
    crew = parse_problem(run.problem).crews[0].id
    short = Plan((Visit(crew, 0, (Stop(job.plan_id, (Part(step.plan_id, 1),)),)),))
    _solver(monkeypatch, Outcome("feasible", 1, 0, 0.1, short))
    with pytest.raises(BadPlanError, match="rule 3"):
        solve(run)
    run.refresh_from_db()
    assert (run.state, run.outcome) == (State.FAILED, None)
    assert "rule 3" in run.error


def test_locks_that_clash_fail_with_the_clash(
    run: PlanningRun, monkeypatch: pytest.MonkeyPatch
) -> None:
    _solver(monkeypatch, Outcome("infeasible", None, 0, 0.1, None))
    solve(run)
    assert (run.state, run.error) == (State.FAILED, "No plan keeps every rule. ")


def test_the_best_plan_of_the_row_is_where_the_next_attempt_starts(
    run: PlanningRun, monkeypatch: pytest.MonkeyPatch
) -> None:
    best = parse_plan(solve(run).best_plan)
    PlanningRun.objects.update(state=State.ASKED_FOR, best_plan=plan_to_json(best))
    seen = _solver(monkeypatch, Outcome("feasible", 1, 0, 0.1, best))
    solve(run)
    assert seen["start"] == best
    assert run.attempt == 2


def test_a_start_that_facts_have_broken_is_left(
    run: PlanningRun, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken = {"format": "week-plan/1", "visits": [{"crew": "crew-0", "day": 0, "stops": []}]}
    PlanningRun.objects.update(best_plan=broken)
    seen = _solver(monkeypatch, Outcome("feasible", 1, 0, 0.1, Plan()))
    solve(run)
    assert seen["start"] is None


def test_points_are_thinned_and_first_and_last_stay() -> None:
    watch = Watch([{"seconds": 4.0, "cost": 1, "bound": 0, "gap": 1.0}])
    for number in range(1, 4 * MOST_POINTS):
        watch.report(Progress(1000 - number, 0, 1.0, number / 10, Plan()))
    points = watch.points()
    assert len(points) <= MOST_POINTS
    assert points[0]["seconds"] == 4.0
    # Seconds go on counting where the attempt before left off.
    assert points[-1]["seconds"] == 4.0 + (4 * MOST_POINTS - 1) / 10
    assert [p["seconds"] for p in points] == sorted(p["seconds"] for p in points)


def _solver(monkeypatch: pytest.MonkeyPatch, outcome: Outcome) -> dict[str, Any]:
    """Put a solver in place that returns this outcome; the dict holds what it was given."""
    seen: dict[str, Any] = {}

    def give(problem: object, **options: Any) -> Outcome:
        seen.update(options)
        return outcome

    monkeypatch.setattr("scheduling.planning.solver.solve", give)
    return seen
