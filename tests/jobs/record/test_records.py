"""The record of a builder whose promises are known, from moves to chances, and what crews found."""

from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext

from contractor.models import Event
from contractor.workdays import WorkCalendar
from jobs.conditions.record import evidence, report_evidence
from jobs.conditions.states import Grounds
from jobs.estimates.services.estimate import job_estimate
from jobs.models import Condition, Finding, Job, PromiseOutcome
from jobs.readiness.queries.outlook import jobs_outlook
from jobs.readiness.services.condition import condition_move
from jobs.record.queries import calibration_read, records_read
from jobs.record.services.finding import finding_record
from tests.people import ACTOR, MONDAY, NOW, TODAY, Company, attic_make, job_make, site_make

WORK = WorkCalendar()


@pytest.fixture
def job(company: Company) -> Job:
    return house(company)


def house(company: Company, unit: str = "Lot 1") -> Job:
    job = job_make(site_make(company.fairfield, f"Site of {unit}"), unit)
    attic_make(job, company.cellulose)
    return job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)


def move(job: Job, code: str, to_state: str, *, days: int = 0, day: date | None = None) -> None:
    condition = job.conditions.get(code=code)
    condition_move(
        condition_id=condition.pk,
        version=condition.version,
        to_state=to_state,
        grounds=Grounds(day=day, reason="not done after all"),
        actor=ACTOR,
        now=NOW + timedelta(days=days),
    )


def promised_and_done(company: Company, number: int, slip: int) -> None:
    """A promise for the Monday of people.MONDAY, come true so many working days later."""
    job = house(company, f"Lot {number}")
    move(job, "attic_access", "promised", day=MONDAY)
    done = (WORK.plus(MONDAY, slip) - TODAY).days
    move(job, "attic_access", "reported_done", days=done)


def test_a_builder_whose_promises_are_known(company: Company) -> None:
    for number, slip in enumerate([0] * 7 + [2, 2, 1], start=1):
        promised_and_done(company, number, slip)
    records = records_read()
    (builder,) = records.of_builder
    history = records.builder(builder)
    assert str(evidence(history.promises)) == "kept 7 of 10, late by 2 days when late"
    # The company is this one builder: 0.8 of 10 and 7 of 10, then that of 8 and 7 of 10 again.
    company_kept = (0.8 * 10 + 7) / 20
    assert records.odds(builder).promise[0] == pytest.approx((company_kept * 8 + 7) / 18)


def test_a_move_judges_all_anew_and_only_once(job: Job) -> None:
    move(job, "attic_access", "promised", day=MONDAY)
    assert not PromiseOutcome.objects.exists()
    move(job, "attic_access", "reported_done", days=5)
    assert PromiseOutcome.objects.get().slip_days == 1
    move(job, "attic_access", "owed", days=6)
    assert [(o.kind, o.found_true) for o in PromiseOutcome.objects.all()] == [("report", False)]
    move(job, "attic_access", "seen_done", days=7)
    kinds = {outcome.kind: outcome for outcome in PromiseOutcome.objects.all()}
    assert (kinds["promise"].slip_days, kinds["report"].found_true) == (3, False)


def test_a_ready_date_is_one_word_by_the_last_of_the_house(job: Job) -> None:
    assert job.ready_date == MONDAY
    move(job, "attic_access", "seen_done", days=4)
    move(job, "ceiling_board", "seen_done", days=7)
    records = records_read()
    (history,) = records.of_builder.values()
    assert PromiseOutcome.objects.count() == 2
    assert history.ready_dates == {3: 1}
    assert not history.promises


def test_the_record_changes_the_risk_of_the_plan(company: Company) -> None:
    for number in range(1, 11):
        promised_and_done(company, number, slip=3)
    fresh = house(company, "Lot 90")
    fresh.conditions.exclude(code="attic_access").update(state="seen_done")
    move(fresh, "attic_access", "promised", day=MONDAY)
    days = WORK.working_days(MONDAY, MONDAY + timedelta(days=4))
    (outlook,) = jobs_outlook(Job.objects.filter(pk=fresh.pk), days)
    risks = outlook.steps[0].risks
    # Kept: 0.8 of 10 and 0 of 10 is 0.4; that of 8 and 0 of 10 is 0.178. A risk of 0.822.
    assert risks[0] == 0.822
    assert risks[3] < 0.2


def test_what_was_reported_and_not_found_goes_back_to_owed(job: Job) -> None:
    move(job, "attic_access", "reported_done")
    report = job.conditions.get(code="attic_access")
    finding = found(job, could_start=False, missing=[report.pk])
    report.refresh_from_db()
    assert (report.state, report.reason) == ("owed", "the crew found it not done")
    assert finding.missing == ["attic_access"]
    (history,) = records_read().of_builder.values()
    assert str(report_evidence(history)) == "0 of 1 reports found true"
    assert Event.objects.get(verb="found").what["could_start"] is False


def test_a_crew_that_could_start_has_seen_what_was_reported(job: Job) -> None:
    move(job, "attic_access", "reported_done")
    stops = job.conditions.filter(gate="stop").exclude(owed_by="us")
    stops.update(state="reported_done")
    found(job, could_start=True)
    assert job.conditions.get(code="attic_access").state == "seen_done"
    assert set(stops.values_list("state", flat=True)) <= {"reported_done"}
    (history,) = records_read().of_builder.values()
    assert (history.reports_true, history.reports_false) == (1, 0)


def test_the_chance_that_stood_is_kept_beside_what_was_found(job: Job) -> None:
    job.conditions.update(state="seen_done")
    Condition.objects.filter(code="attic_access").update(state="promised", promised_for=TODAY)
    missing = job.conditions.get(code="attic_access")
    assert found(job, could_start=False, missing=[missing.pk]).stated == pytest.approx(0.8)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"day": TODAY + timedelta(days=1)}, "still to come"),
        ({"step_kinds": ["dense_fill"]}, "expected at least one of"),
        ({"step_kinds": []}, "expected at least one of"),
        ({"could_start": False}, "say what was missing"),
        ({"missing": [987654], "could_start": False}, "expected conditions that these steps"),
        ({"note": "x" * 301}, "300"),
    ],
)
def test_bad_findings_change_nothing(job: Job, wrong: dict[str, object], words: str) -> None:
    values: dict[str, object] = {"could_start": True} | wrong
    with pytest.raises(ValidationError, match=words):
        found(job, **values)
    assert not Finding.objects.exists()


def test_of_two_findings_of_a_day_the_last_counts(job: Job) -> None:
    job.conditions.update(state="seen_done")
    Condition.objects.filter(code="attic_access").update(state="promised", promised_for=TODAY)
    for day in range(60):
        for could_start in (True, False):
            Finding.objects.create(
                job=job,
                day=TODAY + timedelta(days=day),
                could_start=could_start,
                stated=0.8,
                step_kinds=["flat_blow"],
                recorded_at=NOW,
                who="Omar",
            )
    # Sixty visits, none of which could start: 50 / 110 of the stated chance is left.
    assert calibration_read().at(0.8) == pytest.approx(0.8 * 50 / 110)


def test_reading_the_record_takes_one_statement(company: Company) -> None:
    def statements(ask: Callable[[], object]) -> int:
        with CaptureQueriesContext(connection) as queries:
            ask()
        return len(queries)

    promised_and_done(company, 1, 0)
    assert statements(records_read) == 1
    promised_and_done(company, 2, 4)
    assert statements(records_read) == 1


def found(job: Job, **values: object) -> Finding:
    given: dict[str, object] = {
        "day": TODAY,
        "step_kinds": ["flat_blow"],
        "actor": ACTOR,
        "now": datetime.fromisoformat(NOW.isoformat()),
    }
    return finding_record(job_id=job.pk, **{**given, **values})  # type: ignore[arg-type]
