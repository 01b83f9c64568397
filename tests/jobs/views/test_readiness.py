"""The readiness list: what is owed, in what order, by whom; answers told by telephone."""

from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from contractor.models import Event, User
from jobs.models import Condition, Job
from scheduling.models import WeekVersion
from tests.jobs.views.built import built
from tests.pages import HOSTILE, inline_faults, statements, status_by_role, words
from tests.people import MONDAY, Company, signed_in, site_make
from tests.scheduling.houses import version_make, visit_make

LIST = reverse("readiness")


def answer(user: User, condition: Condition, to_state: str, query: str = "", **more: str) -> Any:
    data = {"condition": condition.pk, "version": condition.version, "to_state": to_state, **more}
    return signed_in(user).post(f"{LIST}{query}", data, follow=True)


def chase(job: Job) -> Condition:
    return job.conditions.get(code="chases_capped")


def test_who_sees_the_list(company: Company) -> None:
    built(company)
    assert status_by_role(company, LIST) == {
        "olive": 200,
        "omar": 200,
        "esme": 200,
        "cleo": 404,
        "saul": 404,
        "lena": 200,
        "lars": 404,
        "nobody": 302,
    }
    assert "Quarry Lane" not in words(signed_in(company.lena).get(LIST))


def test_a_house_says_by_when_and_whom_to_ring(company: Company) -> None:
    built(company)
    page = words(signed_in(company.omar).get(LIST))
    assert "Said to be ready Mon Mar 1; not on the plan." in page
    assert "Hazel Homes: Rosa Reyes, 515-555-0142" in page
    assert "chases and dropped soffits capped owed owed by builder, for slope blow" in page


def test_what_is_ours_or_settled_is_not_owed_by_anybody(company: Company) -> None:
    job = built(company)
    Condition.objects.filter(job=job, code="chases_capped").update(state="seen_done")
    page = words(signed_in(company.omar).get(LIST))
    assert "walk boards" not in page
    assert "chases and dropped soffits" not in page


def test_a_house_that_a_crew_is_to_go_to_stands_before_one_that_is_only_overdue(
    company: Company,
) -> None:
    overdue = built(company, "Lot 1", ready_date=date(2027, 2, 1))
    planned = built(company, "Lot 2", ready_date=None)
    draft = version_make(company, WeekVersion.State.DRAFT)
    work = {"net": 30, "slope_blow": 30, "flat_blow": 30}
    visit_make(draft, company.north, MONDAY, planned, work)
    page = words(signed_in(company.omar).get(LIST))
    assert page.index("Lot 2") < page.index("Lot 1")
    assert "On the plan: needed by Mon Mar 1." in page
    assert overdue.pk


def test_what_is_past_says_so(company: Company) -> None:
    built(company, ready_date=date(2027, 2, 22))
    page = words(signed_in(company.omar).get(LIST))
    assert "Said to be ready Mon Feb 22, which is past; not on the plan." in page


def test_in_a_house_stops_come_first_and_reported_things_last(company: Company) -> None:
    job = built(company)
    Condition.objects.filter(job=job, code="roof_dried_in").update(state="reported_done")
    page = words(signed_in(company.omar).get(LIST))
    stop, reported = page.index("junction boxes covered"), page.index("roof dried in")
    assert stop < page.index("chases and dropped soffits") < reported


@pytest.mark.parametrize(
    ("query", "there", "gone"),
    [
        ("?owed_by=electrician", "junction boxes covered", "chases and dropped"),
        ("?owed_by=nobody", "Nothing owed fits these filters.", "chases"),
        ("?builder=x", "chases and dropped", "Nothing owed"),
        ("?site=999999999", "Nothing owed fits these filters.", "chases"),
    ],
)
def test_filters(company: Company, query: str, there: str, gone: str) -> None:
    built(company)
    page = words(signed_in(company.omar).get(f"{LIST}{query}"))
    assert there in page
    assert gone not in page


def test_filters_by_builder_and_site(company: Company) -> None:
    built(company)
    site = site_make(company.fairfield, "Mill Street", builder="Otter Creek")
    built(company, "Lot 7", site=site)
    for query in (f"?builder={site.builder_id}", f"?site={site.pk}"):
        page = words(signed_in(company.omar).get(f"{LIST}{query}"))
        assert "Mill Street, Lot 7" in page
        assert "Quarry Lane 1, Lot 1" not in page


def test_a_promise_told_by_telephone_is_kept_and_the_filters_stay(company: Company) -> None:
    condition = chase(built(company))
    page = answer(company.omar, condition, "promised", "?owed_by=builder", day="2027-03-02")
    assert page.redirect_chain == [
        (f"{LIST}?owed_by=builder&open={condition.job_id}#job-{condition.job_id}", 302)
    ]
    assert "capped promised for Tue Mar 2 (Omar)" in words(page)
    condition.refresh_from_db()
    assert condition.promised_for == date(2027, 3, 2)


def test_what_they_say_is_done_is_reported_not_seen(company: Company) -> None:
    condition = chase(built(company))
    answer(company.omar, condition, "reported_done")
    condition.refresh_from_db()
    assert condition.state == "reported_done"


@pytest.mark.parametrize(
    ("more", "status", "said"),
    [
        ({"day": "2027-02-01"}, 409, "is past: promise today or later"),
        ({"day": "2127-02-01"}, 400, "Date: 2127-02-01 is too far off"),
        ({"day": "Tuesday"}, 400, "Date: Enter a valid date."),
        ({"version": "77", "day": "2027-03-02"}, 409, "somebody was quicker. It is now owed."),
    ],
)
def test_a_wrong_answer_says_why_and_changes_nothing(
    company: Company, more: dict[str, str], status: int, said: str
) -> None:
    condition = chase(built(company))
    events = Event.objects.count()
    page = answer(company.omar, condition, "promised", **more)
    assert page.status_code == status
    assert said in words(page)
    condition.refresh_from_db()
    assert (condition.state, Event.objects.count()) == ("owed", events)


def test_who_may_not_move_moves_nothing(company: Company) -> None:
    condition = chase(built(company))
    for user in (company.esme, company.lena, company.cleo):
        assert answer(user, condition, "reported_done").status_code == 404
    assert Client().post(LIST, {"condition": condition.pk}).status_code == 302
    assert "They said" not in words(signed_in(company.esme).get(LIST))
    condition.refresh_from_db()
    assert condition.state == "owed"


@pytest.mark.parametrize("condition", ["", "0", "-1", "x", "9" * 30, "²"])
def test_a_condition_that_is_not_there(company: Company, condition: str) -> None:
    data = {"condition": condition, "to_state": "reported_done", "version": "1"}
    assert signed_in(company.omar).post(LIST, data).status_code == 404


def test_statements_do_not_grow_with_the_houses(company: Company) -> None:
    client = signed_in(company.omar)
    built(company, "Lot 1")
    with statements() as one:
        client.get(LIST)
    few = one()
    for n in range(2, 7):
        built(company, f"Lot {n}")
    with statements() as many:
        client.get(LIST)
    assert many() == few
    assert few <= 15


def test_nobody_owes_anything(company: Company) -> None:
    page = words(signed_in(company.omar).get(LIST))
    assert "Nobody owes anything. Every open house can start." in page


def test_hostile_words_are_only_text(company: Company) -> None:
    site = site_make(company.fairfield, HOSTILE[:100], builder=HOSTILE, superintendent=HOSTILE)
    job = built(company, site=site)
    job.conditions.update(reason=HOSTILE, moved_by=HOSTILE)
    assert inline_faults(signed_in(company.omar).get(LIST)) == []


def test_the_most_urgent_houses_lie_open_and_the_one_just_answered(company: Company) -> None:
    jobs = [built(company, f"Lot {n}", ready_date=date(2027, 3, n)) for n in range(1, 8)]
    page = signed_in(company.omar).get(LIST).content.decode()
    assert page.count("<details open><summary>") == 5
    last = answer(company.omar, chase(jobs[-1]), "reported_done")
    assert last.content.decode().count("<details open><summary>") == 6
    assert "things owed, 4 of them stops; 1 reported done" in words(last)
    assert "1 more is reported done and waits to be seen." in words(last)
