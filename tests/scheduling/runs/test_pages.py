"""Planning runs: asking, watching, stopping, deciding; who may, and what each state says."""

from collections.abc import Iterator
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from scheduling.models import CrewDay, PlanningRun, Week, WeekVersion
from tests.pages import marks
from tests.people import NOW, Company, signed_in
from tests.scheduling.houses import house_make
from tests.scheduling.weeks.weeks import WEEK, get, inline_faults, strict, text_of

State, Verdict, Wish = PlanningRun.State, PlanningRun.Verdict, PlanningRun.Wish
QUERY_BUDGET = 21  # one of them for the number in the menu
DECISIONS = ["stop", "cancel", "accept", "throw-away"]


@pytest.fixture(autouse=True)
def rung(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[int]]:
    """Time stands still, and no worker is called: its work is done by the tests' own hands."""
    calls: list[int] = []
    monkeypatch.setattr("scheduling.runs.bell.ring", calls.append)
    with time_machine.travel(NOW, tick=False):
        yield calls


def ask(company: Company, **form: object) -> Any:
    values = {"weeks": 1, "seconds": 5, **form}
    answer: Any = signed_in(company.omar).post(
        f"/week/{WEEK}/plan/?branch={company.fairfield.pk}", values
    )
    return answer


@pytest.fixture
def run(company: Company) -> PlanningRun:
    """A run that was asked for: one house, two crews."""
    house_make(company, "Lot 1", {"flat_blow": 180})
    ask(company)
    return PlanningRun.objects.get()


def plan_of(run: PlanningRun, day: int = 1, crew: int = 0) -> dict[str, Any]:
    """A plan of the run's one step, as the solver would give it."""
    job = run.problem["jobs"][0]
    step = job["steps"][0]
    name = run.problem["crews"][crew]["id"]
    parts = [{"step": step["id"], "minutes": step["minutes"][name]}]
    stops = [{"job": job["id"], "parts": parts}]
    return {
        "format": "week-plan/1",
        "visits": [{"crew": name, "day": day, "stops": stops}],
    }


def end(run: PlanningRun, state: str = State.FINISHED, **values: Any) -> PlanningRun:
    """End a run by hand with a plan."""
    outcome = {
        "format": "week-outcome/1",
        "status": "feasible",
        "cost": 101_300,
        "bound": 100_000,
        "gap": 0.0128,
        "seconds": 4.2,
        "costs": {"travel": 90_000, "overtime": 0, "wait": 11_300},
        "plan": plan_of(run),
        "unplaced": [],
        "machines": [],
    }
    run.outcome = outcome | values
    run.state = state
    run.ended_at = NOW
    run.progress = [
        {"seconds": 0.4, "cost": 200_000, "bound": 50_000, "gap": 0.75},
        {"seconds": 4.2, "cost": 101_300, "bound": 100_000, "gap": 0.0128},
    ]
    run.save()
    return run


def page(run: PlanningRun, company: Company) -> str:
    answer = get(company.omar, f"/runs/{run.pk}/")
    assert answer.status_code == 200
    assert inline_faults(answer) == []
    return text_of(answer)


def decide(run: PlanningRun, company: Company, what: str) -> Any:
    answer: Any = signed_in(company.omar).post(f"/runs/{run.pk}/{what}/", follow=True)
    return answer


# Asking.


def test_asking_makes_a_run_and_rings(
    company: Company, rung: list[int], django_capture_on_commit_callbacks: Any
) -> None:
    house_make(company, "Lot 1", {"flat_blow": 180})
    with django_capture_on_commit_callbacks(execute=True):
        answer = ask(company)
    run = PlanningRun.objects.get()
    assert answer.url == f"/runs/{run.pk}/"
    assert (run.weeks, run.seconds, run.asked_by) == (1, 5, company.omar)
    assert rung == [run.pk]


def test_asking_twice_leads_to_the_same_run(run: PlanningRun, company: Company) -> None:
    form = {"weeks": 1, "seconds": 5}
    with time_machine.travel(NOW.replace(minute=1), tick=False):
        answer = signed_in(company.omar).post(f"/week/{WEEK}/plan/", form, follow=True)
    assert answer.redirect_chain == [(f"/runs/{run.pk}/", 302)]
    assert "worked out already" in text_of(answer)
    assert PlanningRun.objects.count() == 1


@pytest.mark.parametrize("wrong", [{"weeks": 0}, {"weeks": 9}, {"seconds": 0}, {"seconds": "x"}])
def test_a_wish_that_cannot_be_says_the_limits(company: Company, wrong: dict[str, Any]) -> None:
    answer = ask(company, **wrong)
    assert answer.status_code == 422
    assert "Plan 1 to 6 weeks at once, for 1 to 600 seconds." in text_of(answer)
    assert PlanningRun.objects.count() == 0


def test_a_week_that_has_gone_by_is_not_planned(company: Company) -> None:
    client = signed_in(company.omar)
    answer = client.post("/week/2027-W01/plan/", {"weeks": 1, "seconds": 5})
    assert answer.status_code == 422
    assert "no working day left" in text_of(answer)
    assert PlanningRun.objects.count() == 0


# Watching.


def test_a_run_asked_for_says_so_and_looks_again(run: PlanningRun, company: Company) -> None:
    html = marks(get(company.omar, f"/runs/{run.pk}/"))
    assert "Asked for." in html
    assert 'hx-trigger="every 1500ms"' in html
    assert '<noscript><meta http-equiv="refresh" content="2"></noscript>' in html


def test_a_look_rings_for_a_run_that_nobody_works_on(
    run: PlanningRun,
    company: Company,
    rung: list[int],
    django_capture_on_commit_callbacks: Any,
) -> None:
    with (
        time_machine.travel(NOW.replace(minute=2), tick=False),
        django_capture_on_commit_callbacks(execute=True),
    ):
        get(company.omar, f"/runs/{run.pk}/")
    assert rung == [run.pk]


def test_a_running_run_shows_cost_bound_gap_and_plot(run: PlanningRun, company: Company) -> None:
    end(run, State.RUNNING)
    text = page(run, company)
    assert "Searching." in text
    assert "$1,013" in text
    assert "$1,000" in text
    assert "1.3 %" in text
    assert "The same as a table" in text
    assert "Stop and keep best" in text
    assert "Cancel, keep nothing" in text


def test_a_finished_run_shows_price_proof_and_costs(run: PlanningRun, company: Company) -> None:
    text = page(end(run), company)
    assert "Finished: a plan for $1,013." in text
    assert "At most 1.3 % above the cheapest plan" in text
    assert "Driving $900.00" in text
    assert "Overtime" not in text
    assert "Together $1,013.00" in text
    assert "Accept into the draft" in text
    assert "refresh" not in marks(get(company.omar, f"/runs/{run.pk}/"))


def test_a_proven_run_says_so(run: PlanningRun, company: Company) -> None:
    end(run, status="proven", bound=101_300)
    assert "Proven: no cheaper plan exists under these rules." in page(run, company)


def test_a_finished_run_says_what_it_changes(run: PlanningRun, company: Company) -> None:
    text = page(end(run), company)
    assert "Quarry Lane 1, Lot 1" in text
    assert "Tue" in text


def test_steps_left_off_are_named_with_the_reason(run: PlanningRun, company: Company) -> None:
    step = run.problem["jobs"][0]["steps"][0]["id"]
    reason = "leaving it out costs less than any day found for it"
    end(run, plan={"format": "week-plan/1", "visits": []})
    assert run.outcome is not None
    run.outcome["unplaced"] = [{"step": step, "reason": reason}]
    run.save()
    text = page(run, company)
    assert "1 step left off" in text
    said = "going there in these weeks would cost more than leaving it for later"
    assert f"Flat blow at Quarry Lane 1, Lot 1: {said}" in text


def test_a_failed_run_says_why_and_what_to_do(run: PlanningRun, company: Company) -> None:
    run.state, run.error, run.ended_at = State.FAILED, "The worker was lost three times.", NOW
    run.save()
    text = page(run, company)
    assert "It failed." in text
    assert "The worker was lost three times." in text
    assert "Plan again from the week page" in text


# Deciding.


def test_stopping_keeps_the_wish(run: PlanningRun, company: Company) -> None:
    end(run, State.RUNNING)
    assert "The best plan so far will be kept" in text_of(decide(run, company, "stop"))
    run.refresh_from_db()
    assert run.wish == Wish.STOP


def test_cancelling_a_waiting_run_ends_it(run: PlanningRun, company: Company) -> None:
    assert "Cancelled." in text_of(decide(run, company, "cancel"))
    run.refresh_from_db()
    assert run.state == State.CANCELLED


def test_throwing_away_changes_no_week(run: PlanningRun, company: Company) -> None:
    assert "Thrown away." in text_of(decide(end(run), company, "throw-away"))
    assert CrewDay.objects.count() == 0


def test_accepting_writes_the_draft(run: PlanningRun, company: Company) -> None:
    answer = decide(end(run), company, "accept")
    assert "Accepted into the draft of week 9." in text_of(answer)
    assert WeekVersion.objects.get().state == WeekVersion.State.DRAFT
    assert CrewDay.objects.get().date.isoformat() == "2027-03-02"


def test_a_proposal_is_decided_once(run: PlanningRun, company: Company) -> None:
    end(run)
    decide(run, company, "accept")
    answer = decide(run, company, "accept")
    assert answer.status_code == 422
    assert "no proposal that is still to be decided" in text_of(answer)


def test_a_week_changed_meanwhile_is_not_overwritten(run: PlanningRun, company: Company) -> None:
    end(run)
    Week.objects.create(branch=company.fairfield, iso_year=2027, iso_week=9, revision=5)
    answer = decide(run, company, "accept")
    text = text_of(answer)
    assert answer.status_code == 409
    assert "changed" in text
    assert "Plan again" in text
    assert "Nothing was changed." in text
    assert CrewDay.objects.count() == 0


def test_the_week_page_leads_to_the_run_and_to_the_proposal(
    run: PlanningRun, company: Company
) -> None:
    assert "A plan is being worked out" in text_of(get(company.omar, f"/week/{WEEK}/"))
    end(run)
    assert "A proposal waits for your answer" in text_of(get(company.omar, f"/week/{WEEK}/"))


def test_queries_of_the_page_do_not_grow(company: Company) -> None:
    counts = []
    for number in range(2):
        for unit in range(number * 6 + 1):
            house_make(company, f"Unit {number}-{unit}", {"flat_blow": 60}, site=f"S {unit}")
        ask(company)
        run = end(PlanningRun.objects.under_way().get())
        client = signed_in(company.omar)
        with CaptureQueriesContext(connection) as caught:
            assert client.get(f"/runs/{run.pk}/").status_code == 200
        counts.append(len(caught))
    assert counts[0] == counts[1] <= QUERY_BUDGET


# Who may.


@pytest.mark.parametrize(
    ("who", "status"),
    [("olive", 200), ("omar", 200), ("esme", 200), ("lena", 404), ("cleo", 404), ("lars", 404)],
)
def test_who_sees_a_run(run: PlanningRun, company: Company, who: str, status: int) -> None:
    assert get(getattr(company, who), f"/runs/{run.pk}/").status_code == status


def test_an_estimator_sees_no_button(run: PlanningRun, company: Company) -> None:
    text = text_of(get(company.esme, f"/runs/{end(run).pk}/"))
    assert "Finished" in text
    assert "Accept" not in text


@pytest.mark.parametrize("what", DECISIONS)
@pytest.mark.parametrize("who", ["esme", "lena", "cleo", "lars"])
def test_who_may_not_decide(run: PlanningRun, company: Company, who: str, what: str) -> None:
    end(run)
    answer = signed_in(getattr(company, who)).post(f"/runs/{run.pk}/{what}/")
    assert answer.status_code == 404
    run.refresh_from_db()
    assert run.verdict == Verdict.OPEN


@pytest.mark.parametrize("what", DECISIONS)
def test_decisions_need_post_and_the_forms_token(
    run: PlanningRun, company: Company, what: str
) -> None:
    assert get(company.omar, f"/runs/{run.pk}/{what}/").status_code == 405
    assert strict(company.omar).post(f"/runs/{run.pk}/{what}/").status_code == 403


def test_a_run_that_is_not_there(company: Company) -> None:
    assert get(company.omar, "/runs/999/").status_code == 404
