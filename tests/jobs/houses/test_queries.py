"""The reads of jobs: who sees what, what a page gets, and no more statements for more rows."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from contractor.access import NOTHING, Scope, scope_of
from contractor.models import Branch
from jobs.checklists.queries import checklist_houses, links_of, superintendents_of
from jobs.checklists.services.link import checklist_link_make
from jobs.estimates.services.estimate import job_estimate
from jobs.houses.queries import job_list, job_page, sites_without_place, warnings_visible
from jobs.localtime import local_date
from jobs.models import Condition, EstimateWarning, Job
from jobs.readiness.queries.calls import Ask, calls_list
from jobs.readiness.queries.conditions import conditions_visible, moves_for
from jobs.readiness.queries.outlook import jobs_outlook
from tests.people import ACTOR, MONDAY, NOW, Company, attic_make, job_make, site_make

DAYS = [MONDAY + timedelta(days=n) for n in range(-3, 5)]
EVERYWHERE = Scope(all_branches=True)


def house(company: Company, branch: Branch, name: str, **values: object) -> Job:
    job = job_make(site_make(branch, name), **values)  # type: ignore[arg-type]
    attic_make(job, company.cellulose)
    return job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)


@pytest.fixture
def job(company: Company) -> Job:
    return house(company, company.fairfield, "Quarry Lane")


@pytest.fixture
def other(company: Company) -> Job:
    return house(company, company.lowton, "Low Lane")


def statements(ask: Callable[[], object]) -> int:
    with CaptureQueriesContext(connection) as captured:
        ask()
    return len(captured)


def test_everybody_sees_the_jobs_of_the_own_branch(company: Company, job: Job, other: Job) -> None:
    seen = {
        person.username: set(job_list(scope_of(person)))
        for person in (company.olive, company.omar, company.esme, company.lena, company.cleo)
    }
    assert seen == {
        "olive": {job, other},
        "omar": {job},
        "esme": {job},
        "lena": {other},
        "cleo": set(),
    }


def test_not_yours_is_not_there(company: Company, job: Job, other: Job) -> None:
    for person, mine, theirs in ((company.omar, job, other), (company.lena, other, job)):
        scope = scope_of(person)
        assert job_page(scope, mine.pk) is not None
        assert job_page(scope, theirs.pk) is None
        assert job_page(scope, 10**9) is None
    assert job_page(scope_of(company.cleo), job.pk) is None
    assert job_page(NOTHING, job.pk) is None


@pytest.mark.parametrize(
    ("words", "found"), [("quarry", 1), ("QUARRY lot", 1), ("hazel", 1), ("oak", 0)]
)
def test_a_search_looks_at_site_unit_builder_and_address(job: Job, words: str, found: int) -> None:
    assert job_list(EVERYWHERE, search=words).count() == found


def test_a_list_is_of_one_state(job: Job) -> None:
    Job.objects.update(state="finished")
    assert not job_list(EVERYWHERE)
    assert job_list(EVERYWHERE, state="finished").get() == job


def test_a_page_has_all_about_the_job(company: Company, job: Job) -> None:
    page = job_page(scope_of(company.omar), job.pk)
    assert page is not None
    assert [space.name for space in page.spaces] == ["attic"]
    assert [step.kind for step in page.steps] == ["flat_blow"]
    assert page.outlook.marks.total == sum(
        c.gate in ("stop", "law", "block") and c.owed_by != "us" for c in page.conditions
    )
    assert [event.verb for event in page.events] == ["estimated"]


def test_a_step_is_risky_until_the_ready_date(job: Job) -> None:
    (outlook,) = jobs_outlook(Job.objects.all(), DAYS)
    (step,) = outlook.steps
    early = [risk for day, risk in zip(DAYS, step.risks, strict=True) if day < MONDAY]
    assert set(early) == {1.0}
    # An unconfirmed date of a builder on no record: six in ten, and more by each day after.
    assert step.risks[len(early)] == 0.4
    assert list(step.risks) == sorted(step.risks, reverse=True)
    assert {condition.code for condition in step.first_needed} >= {"attic_access"}


def test_a_later_promise_makes_later_days_risky(job: Job) -> None:
    Condition.objects.filter(code="attic_access").update(
        state="promised", promised_for=date(2027, 3, 3)
    )
    (outlook,) = jobs_outlook(Job.objects.all(), DAYS)
    risks = dict(zip(DAYS, outlook.steps[0].risks, strict=True))
    assert {risk for day, risk in risks.items() if day < date(2027, 3, 3)} == {1.0}
    assert risks[date(2027, 3, 3)] < 0.5


def test_an_open_warning_holds_its_step_until_it_is_answered(company: Company, job: Job) -> None:
    job.spaces.update(target_r=60, board_in="0.5")
    job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)
    (outlook,) = jobs_outlook(Job.objects.all(), DAYS)
    assert [warning.code for warning in outlook.steps[0].held_by] == ["board_load"]
    EstimateWarning.objects.update(answer="seen", answered_at=NOW, answered_by=company.omar)
    (outlook,) = jobs_outlook(Job.objects.all(), DAYS)
    assert outlook.steps[0].held_by == ()
    assert [warning.code for warning in outlook.warnings] == ["board_load"]


def test_a_step_that_is_not_needed_is_not_in_the_outlook(job: Job) -> None:
    job.steps.update(needed=False)
    (outlook,) = jobs_outlook(Job.objects.all(), DAYS)
    assert outlook.steps == ()


def owed(scope: Scope = EVERYWHERE) -> list[Ask]:
    """Everything to ask for, in the order of the calls."""
    return [ask for call in calls_list(scope, now=NOW) for ask in call.asks]


def test_the_calls_say_who_owes_what_by_when(company: Company, job: Job, other: Job) -> None:
    asks = owed(scope_of(company.omar))
    assert {ask.job for ask in asks} == {job}
    assert {ask.needed_by for ask in asks} == {MONDAY}
    assert all(ask.condition.owed_by != "us" for ask in asks)
    later = calls_list(EVERYWHERE, now=NOW + timedelta(days=6))
    assert all(house.is_overdue for call in later for house in call.houses)
    assert not any(house.is_overdue for c in calls_list(EVERYWHERE, now=NOW) for house in c.houses)


def test_what_is_settled_is_not_owed(job: Job) -> None:
    Condition.objects.update(state="seen_done")
    assert owed() == []


def test_what_is_no_longer_needed_is_not_owed(job: Job) -> None:
    before = jobs_outlook(Job.objects.all(), DAYS)[0].marks.total
    Condition.objects.filter(code="attic_access").update(needed=False)
    assert "attic_access" not in {ask.condition.code for ask in owed()}
    assert jobs_outlook(Job.objects.all(), DAYS)[0].marks.total == before - 1


def test_without_any_date_a_house_comes_last(company: Company, job: Job) -> None:
    house(company, company.fairfield, "Ash Lane", ready_date=None)
    asks = owed()
    assert asks[0].needed_by == MONDAY
    assert asks[-1].needed_by is None


def test_conditions_and_warnings_are_of_the_own_branch(
    company: Company, job: Job, other: Job
) -> None:
    EstimateWarning.objects.create(space=job.spaces.get(), code="x", text="y")
    omar, lena = scope_of(company.omar), scope_of(company.lena)
    assert {c.job for c in conditions_visible(omar)} == {job}
    assert {c.job for c in conditions_visible(lena)} == {other}
    assert warnings_visible(omar).count() == 1
    assert warnings_visible(lena).count() == 0


def test_moves_follow_the_role(company: Company, job: Job) -> None:
    condition = job.conditions.get(code="attic_access")
    assert "promised" in moves_for(condition, company.omar)
    assert "promised" not in moves_for(condition, company.cleo)


def test_sites_superintendents_and_links_are_of_the_own_branch(
    company: Company, job: Job, other: Job
) -> None:
    placeless = site_make(company.fairfield, "Nowhere", latitude=None, longitude=None)
    person = job.site.superintendent
    assert person is not None
    link, _ = checklist_link_make(
        superintendent=person, branch=company.fairfield, actor=ACTOR, now=NOW
    )
    omar, lena = scope_of(company.omar), scope_of(company.lena)
    assert list(sites_without_place(omar)) == [placeless]
    assert list(sites_without_place(lena)) == []
    assert list(superintendents_of(omar)) == [person]
    assert list(links_of(omar)) == [link]
    assert list(links_of(lena)) == []
    assert list(links_of(scope_of(company.olive))) == [link]


def test_today_is_the_branchs_day(company: Company) -> None:
    """America/Chicago is six hours behind UTC in winter (IANA time zone database)."""
    assert local_date(company.fairfield, NOW.replace(hour=5)) == date(2027, 2, 24)
    assert local_date(company.fairfield, NOW.replace(hour=6)) == date(2027, 2, 25)


def test_more_jobs_take_no_more_statements(company: Company, job: Job) -> None:
    person = job.site.superintendent
    assert person is not None
    link, _ = checklist_link_make(
        superintendent=person, branch=company.fairfield, actor=ACTOR, now=NOW
    )
    asks: list[Callable[[], object]] = [
        lambda: jobs_outlook(job_list(EVERYWHERE), DAYS),
        lambda: calls_list(EVERYWHERE, now=NOW),
        lambda: checklist_houses(link),
        lambda: job_page(EVERYWHERE, job.pk),
    ]
    before = [statements(ask) for ask in asks]
    for number in range(8):
        house(company, company.fairfield, f"Lane {number}")
    assert [statements(ask) for ask in asks] == before
    assert max(before) <= 7
