"""The crew's phone page: posted days only, whose they are, what to see first, what is answered."""

from collections.abc import Iterator
from datetime import date
from typing import Any
from uuid import uuid4

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from contractor.models import Event, User
from jobs.models import BackCharge, Condition, Job, Site
from scheduling.models import Fact, WeekVersion
from tests.jobs.estimates.built import built
from tests.pages import HOSTILE, inline_faults, marks, statements, status_by_role, weight, words
from tests.people import MONDAY, NOW, Company, signed_in, site_make
from tests.scheduling.crew_days.phones import WORK, posted_day
from tests.scheduling.houses import version_make, visit_make

DAYS = reverse("crew-days")
EVERYBODY_BUT_LOWTON = {
    "olive": 200,
    "omar": 200,
    "esme": 200,
    "cleo": 200,
    "saul": 404,
    "lena": 404,
    "lars": 404,
    "nobody": 302,
}


@pytest.fixture(autouse=True)
def _thursday_morning() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


def day_of(company: Company, on: date = MONDAY) -> str:
    return reverse("crew-day", args=[company.north.pk, on.isoformat()])


def chase(job: Job) -> Condition:
    return job.conditions.get(code="chases_capped")


def answer(company: Company, user: User, condition: Condition, said: str, **more: str) -> Any:
    data = {"condition": condition.pk, "job": condition.job_id, "answer": said, **more}
    return say(company, user, "checked", **data)


def say(company: Company, user: User, kind: str, **more: Any) -> Any:
    """Post a form of the page as it stands, and go where it leads."""
    data = {"id": str(uuid4()), "kind": kind, **more}
    return signed_in(user).post(day_of(company), data, follow=True)


def test_who_sees_a_crew_s_day(company: Company) -> None:
    posted_day(company)
    assert status_by_role(company, day_of(company)) == EVERYBODY_BUT_LOWTON


def test_who_sees_the_list_and_what_stands_there(company: Company) -> None:
    posted_day(company)
    assert status_by_role(company, DAYS) == dict.fromkeys(EVERYBODY_BUT_LOWTON, 200) | {
        "nobody": 302
    }
    assert "Mon Mar 1 North 1. Quarry Lane 1, Lot 1" in words(signed_in(company.cleo).get(DAYS))
    for other in (company.saul, company.lena, company.lars):
        page = words(signed_in(other).get(DAYS))
        assert "Quarry Lane" not in page
        assert "No day is posted yet" in page


def test_a_draft_is_seen_by_no_crew_and_stands_on_no_phone_page(company: Company) -> None:
    version = version_make(company, WeekVersion.State.DRAFT)
    visit_make(version, company.north, MONDAY, built(company), WORK)
    for user in (company.cleo, company.omar, company.olive):
        assert signed_in(user).get(day_of(company)).status_code == 404
        assert "Quarry Lane" not in words(signed_in(user).get(DAYS))


def test_a_change_that_is_not_posted_leaves_the_crew_s_page_as_it_was(company: Company) -> None:
    (job,) = posted_day(company)
    before = words(signed_in(company.cleo).get(day_of(company)))
    draft = version_make(company, WeekVersion.State.DRAFT)
    visit_make(draft, company.south, date(2027, 3, 3), job, WORK)
    assert words(signed_in(company.cleo).get(day_of(company))) == before


@pytest.mark.parametrize("day", ["2027-03-02", "2027-13-01", "monday", "20270301x", "0000-00-00"])
def test_a_day_that_is_not_there(company: Company, day: str) -> None:
    posted_day(company)
    address = f"/crew-days/{company.north.pk}/{day}/"
    assert signed_in(company.cleo).get(address).status_code == 404


def test_where_to_drive_what_to_load_and_what_to_do(company: Company) -> None:
    posted_day(company)
    response = signed_in(company.cleo).get(day_of(company))
    page = words(response)
    assert "Mon Mar 1, North" in page
    assert "Start at the yard 7:00 a.m., back about" in page
    assert "Blower 1 with its hose" in page
    assert "bags cellulose" in page
    assert "1. Quarry Lane 1, Lot 1" in page
    assert "1 Quarry Lane Open the map Map in the browser Ring Rosa Reyes" in page
    assert "slope blow 1 h 30 min" in page
    assert 'href="geo:41.65,-93.7?q=41.65,-93.7"' in marks(response)
    assert 'href="tel:515-555-0142"' in marks(response)


def test_coordinates_keep_their_point_in_spanish(company: Company) -> None:
    posted_day(company)
    company.cleo.language = "es"
    company.cleo.save()
    page = marks(signed_in(company.cleo).get(day_of(company)))
    assert 'href="geo:41.65,-93.7?q=41.65,-93.7"' in page


def test_a_site_without_coordinates_is_found_by_its_address(company: Company) -> None:
    posted_day(company)
    Site.objects.update(latitude=None, longitude=None)
    response = signed_in(company.cleo).get(day_of(company))
    assert "Its place on the map is not known: go by the address." in words(response)
    assert "geo:" not in marks(response)


def test_stops_come_first_and_nobody_starts_before_they_are_seen(company: Company) -> None:
    posted_day(company)
    page = words(signed_in(company.cleo).get(day_of(company)))
    assert "Do not start yet:" in page
    assert "things for safety must be seen done first." in page
    assert page.index("junction boxes covered STOP") < page.index("chases and dropped soffits")
    assert "Only a person with that right can clear a stop." in page


def test_what_our_own_step_brings_about_is_not_asked_for(company: Company) -> None:
    posted_day(company)
    page = words(signed_in(company.cleo).get(day_of(company)))
    assert "net stapled at slopes" not in page
    assert "walk boards" not in page or "walk boards and fall plan in place STOP" in page


def test_cautions_of_that_house(company: Company) -> None:
    (job,) = posted_day(company)
    Job.objects.filter(pk=job.pk).update(year_built=1931)
    page = words(signed_in(company.cleo).get(day_of(company)))
    for caution in (
        "Vermiculite.",
        "Live knob-and-tube wiring.",
        "Combustion test.",
        "Respirator.",
    ):
        assert caution in page
    assert "Local code and licensed practice decide." in page


def test_seen_done_in_one_tap(company: Company) -> None:
    (job,) = posted_day(company)
    page = answer(company, company.cleo, chase(job), "true")
    assert "Said. The office sees it." in words(page)
    assert "seen done (Cleo)" in words(page)
    event = Event.objects.get(verb="moved", noun_id=str(chase(job).pk))
    assert (event.source, event.user) == (Event.Source.PHONE, company.cleo)


def test_not_true_goes_back_to_owed_with_the_reason(company: Company) -> None:
    (job,) = posted_day(company)
    job.conditions.filter(code="chases_capped").update(state="reported_done", moved_by="Rosa")
    page = answer(company, company.cleo, chase(job), "not_true", reason="North chase still open")
    assert "“North chase still open”" in words(page)
    assert (chase(job).state, chase(job).reason) == ("owed", "North chase still open")


def test_not_true_without_words_changes_nothing(company: Company) -> None:
    (job,) = posted_day(company)
    job.conditions.filter(code="chases_capped").update(state="reported_done")
    page = answer(company, company.cleo, chase(job), "not_true")
    assert page.status_code == 400
    assert "What is wrong?: This field is required." in words(page)
    assert chase(job).state == "reported_done"
    assert not Fact.objects.exists()


def test_we_did_it_only_where_it_is_allowed(company: Company) -> None:
    (job,) = posted_day(company)
    answer(company, company.cleo, chase(job), "we_did_it", amount="12", agreed_by="Rosa Reyes")
    assert chase(job).state == "taken_over"
    assert (chase(job).moved_by, BackCharge.objects.get().taken_by) == ("Cleo", "Cleo")
    framing = job.conditions.get(code="framing_inspection")
    page = answer(company, company.cleo, framing, "we_did_it", agreed_by="Rosa Reyes")
    assert "Kept, but it changed nothing:" in words(page)
    framing.refresh_from_db()
    assert framing.state == "owed"


def test_a_stop_is_cleared_by_a_lead_with_that_right_only(company: Company) -> None:
    (job,) = posted_day(company)
    stop = job.conditions.get(code="junctions_covered")
    assert answer(company, company.cleo, stop, "true").status_code == 200
    stop.refresh_from_db()
    assert stop.state == "owed"
    company.cleo.may_clear_stop = True
    company.cleo.save()
    answer(company, company.cleo, stop, "true")
    stop.refresh_from_db()
    assert (stop.state, stop.moved_by) == ("seen_done", "Cleo")


def test_a_lead_cannot_promise_or_waive(company: Company) -> None:
    (job,) = posted_day(company)
    for said in ("promised", "waived", "reported_done", ""):
        page = answer(company, company.cleo, chase(job), said, day="2027-03-02", name="x")
        assert page.status_code == 400
        assert "Answer: expected true, not true or we did it." in words(page)
    assert chase(job).state == "owed"


def test_who_may_not_answer_finds_nothing(company: Company) -> None:
    (job,) = posted_day(company)
    elsewhere = built(company, "Lot 8")
    for user in (company.esme, company.saul, company.lena, company.lars):
        assert answer(company, user, chase(job), "true").status_code == 404
    assert answer(company, company.cleo, chase(elsewhere), "true").status_code == 404
    assert Client().post(day_of(company), {}).status_code == 302
    for bad in ({}, {"condition": "x"}, {"kind": "checked", "job": job.pk, "condition": "x"}):
        assert signed_in(company.cleo).post(day_of(company), bad).status_code == 404
    assert chase(job).state == chase(elsewhere).state == "owed"
    assert "We cannot start here" not in words(signed_in(company.esme).get(day_of(company)))


def test_spanish_has_no_english_left_between(company: Company) -> None:
    posted_day(company, 2)
    company.cleo.language = "es"
    company.cleo.save()
    response = signed_in(company.cleo).get(day_of(company))
    assert '<html lang="es">' in marks(response)
    page = words(response)
    for spanish in (
        "lun 1 de marzo, North",
        "Cargar en el patio",
        "Vean esto primero y luego empiecen",
        "cajas de conexiones tapadas ALTO",
        "le toca a: electricista",
        "Es cierto",
        "Deciden el código local y quien tiene licencia.",
    ):
        assert spanish in page
    for english in (" the ", " and ", "owed", "Stop", "seen", "done", "bags", " load"):
        assert english not in page


def test_weight_and_statements_stay_within_the_budget(company: Company) -> None:
    """60 kB for the first visit and 12 statements, for one house as for three."""
    posted_day(company, 3)
    client = signed_in(company.cleo)
    client.get(day_of(company))
    with statements() as many:
        response = client.get(day_of(company))
    assert many() <= 12
    assert weight(response) < 60_000
    assert inline_faults(response) == []


def test_statements_do_not_grow_with_the_houses(company: Company) -> None:
    posted_day(company, 1)
    client = signed_in(company.cleo)
    with statements() as one:
        client.get(day_of(company))
    few = one()
    version = WeekVersion.objects.get()
    for n in (5, 6, 7):
        visit_make(version, company.north, MONDAY, built(company, f"Lot {n}"), WORK)
    with statements() as many:
        client.get(day_of(company))
    assert many() == few
    with statements() as listed:
        client.get(DAYS)
    assert listed() <= 12


def test_hostile_words_are_only_text(company: Company) -> None:
    (job,) = posted_day(company)
    site = site_make(company.fairfield, HOSTILE[:100], builder=HOSTILE, superintendent=HOSTILE)
    Job.objects.filter(pk=job.pk).update(site=site)
    job.conditions.update(reason=HOSTILE, moved_by=HOSTILE, state="reported_done")
    assert inline_faults(signed_in(company.cleo).get(day_of(company))) == []
