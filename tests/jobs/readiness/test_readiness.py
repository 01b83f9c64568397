"""The calls to make: whom to ring first and why, what to ask, what was said, who may."""

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from contractor.models import Event, User
from jobs.models import CallAttempt, Condition, Job, Site, Superintendent
from scheduling.models import WeekVersion
from tests.jobs.estimates.built import built
from tests.pages import HOSTILE, inline_faults, marks, statements, status_by_role, words
from tests.people import MONDAY, NOW, Company, signed_in, site_make
from tests.scheduling.houses import version_make, visit_make

pytestmark = pytest.mark.usefixtures("thursday_morning")

LIST = reverse("readiness")
WORK = {"net": 30, "slope_blow": 30, "flat_blow": 30}


@pytest.fixture(autouse=True)
def _thursday(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "now", lambda: NOW)


def item(condition: Condition) -> str:
    return f"{condition.pk}:{condition.version}"


def answer(user: User, condition: Condition, said: str, query: str = "", **more: str) -> Any:
    data = {"item": item(condition), "answer": said, **more}
    return signed_in(user).post(f"{LIST}{query}", data, follow=True)


def no_answer(user: User, job: Job, seen: int = 0) -> Any:
    data = {"house": job.pk, "answer": "no_answer", "seen": seen}
    return signed_in(user).post(LIST, data, follow=True)


def chase(job: Job) -> Condition:
    return job.conditions.get(code="chases_capped")


def of_person(company: Company, name: str, unit: str = "Lot 1", **more: Any) -> Job:
    site = Site.objects.filter(superintendent__name=name).first() or site_make(
        company.fairfield, f"Lane {Site.objects.count()}", superintendent=name
    )
    return built(company, unit, site=site, **more)


def read(company: Company, query: str = "") -> str:
    return words(signed_in(company.omar).get(f"{LIST}{query}"))


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


def test_a_call_says_whom_to_ring_what_to_ask_and_why(company: Company) -> None:
    built(company)
    response = signed_in(company.omar).get(LIST)
    page = words(response)
    assert "Rosa Reyes, Hazel Homes 515-555-0142" in page
    assert 'href="tel:515-555-0142"' in marks(response)
    assert "Said to be ready Mon Mar 1; no crew waits for it yet." in page
    assert "chases and dropped soffits capped owed owed by builder, for slope blow" in page
    assert "Ask: “chases and dropped soffits capped”, is it done, or by which day? If not:" in page


def test_a_house_without_superintendent_or_number_says_so(company: Company) -> None:
    job = built(company)
    Superintendent.objects.update(phone="")
    assert "no telephone number" in read(company)
    Site.objects.update(superintendent=None)
    assert "no superintendent, Hazel Homes no telephone number" in read(company)
    answer(company.omar, chase(job), "done")
    assert chase(job).state == "reported_done"
    assert no_answer(company.omar, job).status_code == 404


def test_what_is_ours_or_settled_is_asked_of_nobody(company: Company) -> None:
    job = built(company)
    Condition.objects.filter(job=job, code="chases_capped").update(state="seen_done")
    page = read(company)
    assert "walk boards" not in page
    assert "chases and dropped soffits" not in page


def test_what_costs_most_for_each_day_left_comes_first(company: Company) -> None:
    later = of_person(company, "Ann Later", ready_date=None)
    sooner = of_person(company, "Zoe Sooner", ready_date=None)
    sure = of_person(company, "Ben Sure", ready_date=date(2027, 2, 1))
    off_plan = of_person(company, "Abe Unplanned", ready_date=date(2027, 1, 4))
    draft = version_make(company, WeekVersion.State.DRAFT)
    visit_make(draft, company.north, MONDAY + timedelta(days=3), later, WORK)
    visit_make(draft, company.north, MONDAY, sooner, WORK)
    visit_make(draft, company.south, MONDAY, sure, WORK)
    page = read(company)
    names = ["Zoe Sooner", "Ann Later", "Ben Sure", "Abe Unplanned"]
    places = [page.index(name) for name in names]
    assert places == sorted(places)
    assert "Mon Mar 1, North (draft): net, slope blow, flat blow. 2 working days left" in page
    assert "Thu Mar 4, North (draft)" in page
    assert "5 working days left" in page
    assert off_plan.pk


def test_one_call_holds_all_houses_of_a_person(company: Company) -> None:
    first, second = built(company, "Lot 1"), built(company, "Lot 2")
    other = of_person(company, "Ivo Hart")
    page = read(company)
    assert page.count("Rosa Reyes, Hazel Homes") == 1
    assert "2 calls to make today." in page
    rows = [chase(first), chase(second)]
    data = {"item": [item(row) for row in rows], "answer": "on", "day": "2027-03-02"}
    signed_in(company.omar).post(LIST, data, follow=True)
    assert [chase(job).state for job in (first, second, other)] == ["promised", "promised", "owed"]
    call = CallAttempt.objects.get()
    assert (call.superintendent.name, call.outcome) == ("Rosa Reyes", "answered")


def test_things_of_two_people_are_not_one_call(company: Company) -> None:
    rows = [chase(built(company)), chase(of_person(company, "Ivo Hart"))]
    data = {"item": [item(row) for row in rows], "answer": "done"}
    page = signed_in(company.omar).post(LIST, data)
    assert page.status_code == 400
    assert "not a house of the person who was rung" in words(page)
    assert not Condition.objects.filter(state="reported_done").exists()


def test_no_answer_moves_the_call_down_for_some_hours(
    company: Company, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = of_person(company, "Ann Away")
    of_person(company, "Bo Near", ready_date=date(2027, 3, 9))
    assert read(company).index("Ann Away") < read(company).index("Bo Near")
    page = words(no_answer(company.omar, first))
    assert page.index("Bo Near") < page.index("Ann Away")
    # 15:00 UTC is 9 in the morning in America/Chicago in February.
    assert "No answer, last Thu Feb 25, 09:00 (Omar). Others first until Thu Feb 25, 11:00." in page
    later = NOW + timedelta(hours=2, minutes=1)
    monkeypatch.setattr(timezone, "now", lambda: later)
    assert read(company).index("Ann Away") < read(company).index("Bo Near")
    page = words(no_answer(company.omar, first, seen=1))
    assert "No answer 2 times, last Thu Feb 25, 11:01 (Omar)." in page


@pytest.mark.parametrize(
    ("now", "said"),
    [
        # Clocks in Chicago go forward on 2027-03-14 at 2:00: 7:30 UTC is 1:30, +2 h is 4:30.
        (datetime.fromisoformat("2027-03-14T07:30+00:00"), "Sun Mar 14, 04:30"),
        # They go back on 2027-11-07 at 2:00: 6:30 UTC is 1:30 of summer, +2 h is 2:30 of winter.
        (datetime.fromisoformat("2027-11-07T06:30+00:00"), "Sun Nov 7, 02:30"),
    ],
)
def test_a_rest_is_hours_also_when_the_clocks_change(
    company: Company, monkeypatch: pytest.MonkeyPatch, now: datetime, said: str
) -> None:
    monkeypatch.setattr(timezone, "now", lambda: now)
    assert f"Others first until {said}." in words(no_answer(company.omar, built(company)))


def test_the_second_who_writes_down_no_answer_is_told(company: Company) -> None:
    job = built(company)
    no_answer(company.olive, job)
    page = no_answer(company.omar, job)
    assert page.status_code == 409
    assert "Olive wrote down a call at Thu Feb 25, 09:00 meanwhile." in words(page)
    assert CallAttempt.objects.count() == 1


def test_not_theirs_is_kept_with_whose_it_is(company: Company) -> None:
    job = built(company)
    assert answer(company.omar, chase(job), "not_theirs").status_code == 400
    page = words(answer(company.omar, chase(job), "not_theirs", note="the HVAC firm's"))
    assert "“Not ours, says Rosa Reyes (Omar): the HVAC firm's”" in page


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
    page = read(company, query)
    assert there in page
    assert gone not in page


def test_filters_by_builder_and_site(company: Company) -> None:
    built(company)
    site = site_make(company.fairfield, "Mill Street", builder="Otter Creek")
    built(company, "Lot 7", site=site)
    for query in (f"?builder={site.builder_id}", f"?site={site.pk}"):
        page = read(company, query)
        assert "Mill Street, Lot 7" in page
        assert "Quarry Lane 1, Lot 1" not in page


def test_after_an_answer_the_page_goes_on_and_the_filters_stay(company: Company) -> None:
    job = built(company)
    row, following = chase(job), job.conditions.get(code="roof_dried_in")
    more = {"day": "2027-03-02", "next": str(following.pk)}
    page = answer(company.omar, row, "on", "?owed_by=builder", **more)
    place = f"at={following.pk}#ask-{following.pk}"
    assert page.redirect_chain == [(f"{LIST}?owed_by=builder&{place}", 302)]
    assert "capped promised for Tue Mar 2 (Omar)" in words(page)
    row.refresh_from_db()
    assert row.promised_for == date(2027, 3, 2)


def test_the_page_with_the_next_thing_is_shown(company: Company) -> None:
    jobs = [of_person(company, f"Person {n:02}", "Lot 1") for n in range(11)]
    last = chase(jobs[-1])
    assert "Person 10" not in read(company)
    assert "Person 10" in read(company, f"?at={last.pk}")
    assert read(company, f"?at={'9' * 30}") == read(company)


def test_what_they_say_is_done_is_reported_not_seen(company: Company) -> None:
    condition = chase(built(company))
    page = words(answer(company.omar, condition, "done"))
    condition.refresh_from_db()
    assert condition.state == "reported_done"
    assert "1 reported done, to be seen chases and dropped soffits capped" in page
    assert "1 more is reported done and waits to be seen." in page


@pytest.mark.parametrize(
    ("more", "status", "said"),
    [
        ({"day": "2027-02-01"}, 409, "is past: promise today or later"),
        ({"day": "2127-02-01"}, 400, "Date: 2127-02-01 is too far off"),
        ({"day": "Tuesday"}, 400, "Date: Enter a valid date."),
        ({}, 400, "Date: Say on which day."),
    ],
)
def test_a_wrong_answer_says_why_and_changes_nothing(
    company: Company, more: dict[str, str], status: int, said: str
) -> None:
    condition = chase(built(company))
    events = Event.objects.count()
    page = answer(company.omar, condition, "on", **more)
    assert page.status_code == status
    assert said in words(page)
    condition.refresh_from_db()
    assert (condition.state, Event.objects.count()) == ("owed", events)


def test_whoever_comes_second_is_told(company: Company) -> None:
    condition = chase(built(company))
    answer(company.olive, condition, "on", day="2027-03-02")
    page = answer(company.omar, condition, "done")
    assert page.status_code == 409
    assert "somebody was quicker. It is now promised for Tue Mar 2 (Olive)." in words(page)
    assert CallAttempt.objects.count() == 1


def test_who_may_not_move_moves_nothing(company: Company) -> None:
    job = built(company)
    condition = chase(job)
    for user in (company.esme, company.lena, company.cleo):
        assert answer(user, condition, "done").status_code == 404
        assert no_answer(user, job).status_code == 404
    assert Client().post(LIST, {"item": item(condition)}).status_code == 302
    assert "They say it is done" not in words(signed_in(company.esme).get(LIST))
    condition.refresh_from_db()
    assert condition.state == "owed"


@pytest.mark.parametrize("named", ["", "0:1", "-1:1", "x", "9" * 30 + ":1", "²:1", "5"])
def test_a_condition_that_is_not_there(company: Company, named: str) -> None:
    data = {"item": named, "answer": "done"}
    assert signed_in(company.omar).post(LIST, data).status_code == 404


def test_statements_do_not_grow_with_houses_people_or_visits(company: Company) -> None:
    client = signed_in(company.omar)
    draft = version_make(company, WeekVersion.State.DRAFT)
    visit_make(draft, company.north, MONDAY, built(company, "Lot 1"), WORK)
    with statements() as one:
        client.get(LIST)
    few = one()
    for n in range(2, 7):
        job = of_person(company, f"Person {n}", f"Lot {n}")
        visit_make(draft, company.north, MONDAY + timedelta(days=n), job, WORK)
    with statements() as many:
        client.get(LIST)
    assert many() == few
    assert few <= 24


def test_nobody_owes_anything(company: Company) -> None:
    assert "Nobody owes anything. Every open house can start." in read(company)


def test_hostile_words_are_only_text(company: Company) -> None:
    site = site_make(company.fairfield, HOSTILE[:100], builder=HOSTILE, superintendent=HOSTILE)
    job = built(company, site=site)
    job.conditions.update(reason=HOSTILE, moved_by=HOSTILE)
    assert inline_faults(signed_in(company.omar).get(LIST)) == []


def test_the_first_houses_lie_open_and_the_one_to_go_on_with(company: Company) -> None:
    jobs = [built(company, f"Lot {n}", ready_date=date(2027, 3, n)) for n in range(1, 8)]
    last = chase(jobs[-1])
    page = marks(signed_in(company.omar).get(LIST))
    assert page.count('<ul class="conditions">') == 3
    assert "Lot 7" in page
    assert f'id="ask-{last.pk}"' not in page
    later = marks(signed_in(company.omar).get(f"{LIST}?at={last.pk}"))
    assert later.count('<ul class="conditions">') == 4
    assert f'id="ask-{last.pk}"' in later
