"""Facts are kept once, whatever was lost on the way; what cannot be kept says why."""

from datetime import timedelta
from io import BytesIO
from typing import Any
from unittest.mock import patch

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import OperationalError
from django.test import Client
from django.test.client import encode_multipart
from PIL import Image

from contractor.models import Event
from jobs.desk.services import job_locked
from jobs.models import Job
from scheduling.facts.services import facts
from scheduling.facts.services.facts import State
from scheduling.models import CrewDay, Fact, FactPhoto, WeekVersion
from tests.people import MONDAY, Company, signed_in
from tests.scheduling.facts.facts import EVENING, SEVEN, Day, day_make, said, take

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(company: Company) -> Day:
    return day_make(company)


def test_a_fact_is_kept_as_it_was_said(company: Company, day: Day) -> None:
    what = {"minutes": 118, "bags": None, "depths_in": [16.5, 17], "whole": True}
    (taken,) = take(company, said(day, 140, "finished", step="air_seal", what=what))
    fact = Fact.objects.get()
    assert taken.state == State.KEPT
    assert (fact.crew, fact.job, fact.day, fact.step_kind) == (
        day.crew,
        day.lot,
        MONDAY,
        "air_seal",
    )
    assert fact.what == what
    assert (fact.tapped_at, fact.received_at) == (SEVEN + timedelta(minutes=140), EVENING)
    assert (fact.person, fact.who) == (company.cleo, "Cleo")
    assert Event.objects.filter(noun="fact", verb="said").count() == 1


def test_what_was_sent_before_is_not_kept_twice(company: Company, day: Day) -> None:
    fact = said(day, 1, "set_out")
    states = [one.state for one in take(company, fact, fact) + take(company, fact)]
    assert states == [State.KEPT, State.ALREADY, State.ALREADY]
    assert Fact.objects.count() == 1


@pytest.mark.parametrize(
    ("wrong_by", "happened"),
    [(timedelta(hours=-3), SEVEN), (timedelta(days=40), SEVEN), (timedelta(seconds=20), None)],
)
def test_a_clock_that_is_wrong_is_set_right(
    company: Company, day: Day, wrong_by: timedelta, happened: Any
) -> None:
    """A phone that is three hours behind showed four in the morning when it was seven."""
    at = SEVEN + wrong_by
    take(company, said(day, 0, "set_out", at=at.isoformat()), sent_at=EVENING + wrong_by)
    fact = Fact.objects.get()
    assert (fact.tapped_at, fact.happened_at) == (at, happened or at)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"id": "7"}, "id: expected a UUID."),
        ({"kind": "slept"}, "kind: expected one of set_out, arrived,"),
        ({"job": None}, "job: expected a whole number"),
        ({"job": True}, "job: expected a whole number"),
        ({"day": "Monday"}, "day: expected a date"),
        ({"at": "2027-03-01T09:30:00"}, "at: expected a time"),
        ({"at": "2027-03-02T09:30:00Z"}, "at: expected a time before that of sending."),
        ({"at": "2026-03-01T09:30:00Z"}, "at: expected a time in the last 60 days."),
        ({"kind": "started", "step": "dig"}, "step: expected one of air_seal,"),
        ({"kind": "checked"}, "condition: expected a whole number"),
        ({"kind": "checked", "condition": 1, "what": {}}, "answer: expected one of true,"),
        ({"kind": "finished", "step": "batt"}, "minutes: expected a whole number, 1 to 1440."),
        ({"kind": "turned_away"}, "why: expected some words."),
        ({"kind": "note", "what": {"text": "a" * 501}}, "text: expected text of up to 500"),
        ({"what": ["a"]}, "what: expected an object."),
    ],
)
def test_what_is_malformed_says_where(
    company: Company, day: Day, change: dict[str, Any], words: str
) -> None:
    right = said(day, 2, "arrived")
    spoilt, kept = take(company, said(day, 1, "set_out") | change, right)
    assert spoilt.state == State.REFUSED
    assert spoilt.why.startswith(words)
    assert kept.state == State.KEPT
    assert Fact.objects.count() == 1


@pytest.mark.parametrize("depths", [[0], [-1], [61], ["a"], [True], [float("nan")], "16"])
def test_depths_are_inches(company: Company, day: Day, depths: Any) -> None:
    what = {"minutes": 60, "depths_in": depths}
    (taken,) = take(company, said(day, 1, "finished", step="flat_blow", what=what))
    assert taken.why.startswith("depths_in: expected")


def test_only_the_crew_s_own_people_speak_for_it(company: Company, day: Day) -> None:
    fact = said(day, 1, "set_out")
    for person in (company.saul, company.lars, company.esme, company.lena):
        (taken,) = take(company, fact, person=person)
        assert (taken.state, taken.why) == (State.REFUSED, "crew: that crew is not yours.")
    for number, person in enumerate((company.cleo, company.omar, company.olive), 2):
        (taken,) = take(company, said(day, number, "set_out"), person=person)
        assert taken.state == State.KEPT


def test_an_id_is_one_person_s(company: Company, day: Day) -> None:
    take(company, said(day, 1, "set_out"))
    (taken,) = take(company, said(day, 1, "set_out"), person=company.omar)
    assert taken.why == "That id belongs to another fact."


def test_a_house_of_another_crew_s_days_is_refused(company: Company, day: Day) -> None:
    fact = said(day, 1, "set_out", crew=company.south.pk)
    (taken,) = take(company, fact, person=company.saul)
    assert taken.why == "job: that house is on none of this crew's days."


def test_a_plan_changed_under_the_phone_loses_nothing(company: Company, day: Day) -> None:
    """The week was posted anew without the house while the phone had no signal."""
    WeekVersion.objects.update(state=WeekVersion.State.REPLACED)
    (taken,) = take(company, said(day, 1, "set_out", seen_version=1))
    assert taken.state == State.KEPT


def test_facts_are_added_never_changed(company: Company, day: Day) -> None:
    take(company, said(day, 1, "set_out"))
    fact = Fact.objects.get()
    for change in (fact.save, fact.delete, Fact.objects.all().delete):
        with pytest.raises(TypeError, match=r"never|append-only"):
            change()
    with pytest.raises(TypeError, match="append-only"):
        Fact.objects.update(kind="note")


# The API.


def batch(person: int, *facts: dict[str, Any]) -> dict[str, Any]:
    return {"person": person, "now": EVENING.isoformat(), "facts": facts}


def post(browser: Client, body: dict[str, Any]) -> Any:
    return browser.post("/api/facts", body, content_type="application/json")


def test_a_phone_sends_and_hears_what_was_kept(
    company: Company, day: Day, time_machine: Any
) -> None:
    time_machine.move_to(EVENING, tick=False)
    browser = signed_in(company.cleo)
    facts = [said(day, 1, "set_out"), said(day, 2, "slept")]
    answer = post(browser, batch(company.cleo.pk, *facts))
    assert answer.status_code == 200
    assert answer.json()["kept"] == [facts[0]["id"]]
    assert [one["id"] for one in answer.json()["refused"]] == [facts[1]["id"]]
    read = browser.get("/api/facts?kind=set_out&day=2027-03-01").json()
    assert [(one["id"], one["crew"]) for one in read["results"]] == [(facts[0]["id"], "North")]


def test_another_person_s_facts_are_left_on_the_phone(company: Company, day: Day) -> None:
    answer = post(signed_in(company.saul), batch(company.cleo.pk, said(day, 1, "set_out")))
    assert answer.status_code == 409
    assert not Fact.objects.exists()


def test_who_is_not_signed_in_is_told_so(company: Company, day: Day) -> None:
    assert post(Client(), batch(company.cleo.pk, said(day, 1, "set_out"))).status_code == 401
    assert post(signed_in(company.esme), batch(company.esme.pk)).status_code == 404


def test_a_foreign_page_cannot_tell_facts(company: Company, day: Day) -> None:
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(company.cleo)
    assert post(browser, batch(company.cleo.pk, said(day, 1, "set_out"))).status_code == 403


def jpeg(colour: str = "red") -> SimpleUploadedFile:
    out = BytesIO()
    Image.new("RGB", (40, 30), colour).save(out, "JPEG")
    return SimpleUploadedFile("a.jpg", out.getvalue(), "image/jpeg")


def put_photo(browser: Client, fact_id: str, photo: SimpleUploadedFile) -> Any:
    return browser.put(
        f"/api/facts/{fact_id}/photo",
        encode_multipart("edge", {"photo": photo}),
        content_type="multipart/form-data; boundary=edge",
    )


def test_the_picture_comes_after_the_tap_and_once(company: Company, day: Day) -> None:
    fact = said(day, 1, "photo", what={"about": None, "caption": "open chase"})
    take(company, fact)
    browser = signed_in(company.cleo)
    answers = [put_photo(browser, fact["id"], jpeg()) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [200, 200]
    assert FactPhoto.objects.get().photo.branch == company.fairfield
    shown = browser.get(f"/api/facts/{fact['id']}").json()
    assert shown["photo"] == str(FactPhoto.objects.get().photo_id)


def test_a_picture_that_is_none_changes_nothing(company: Company, day: Day) -> None:
    take(company, said(day, 1, "photo"), said(day, 2, "set_out"))
    browser = signed_in(company.cleo)
    first, second = (str(pk) for pk in Fact.objects.values_list("pk", flat=True))
    spoilt = SimpleUploadedFile("a.jpg", b"GIF89a", "image/jpeg")
    assert put_photo(browser, first, spoilt).status_code == 400
    assert put_photo(browser, second, jpeg()).status_code == 400
    assert put_photo(signed_in(company.saul), first, jpeg()).status_code == 404
    assert put_photo(signed_in(company.esme), first, jpeg()).status_code == 404
    assert not FactPhoto.objects.exists()


def test_a_busy_database_asks_the_phone_to_send_again(company: Company, day: Day) -> None:
    body = batch(company.cleo.pk, said(day, 1, "set_out"))
    browser = signed_in(company.cleo)
    with patch("scheduling.facts.api.facts_take", side_effect=OperationalError("locked")):
        answer = post(browser, body)
    assert (answer.status_code, answer.headers["Content-Type"]) == (503, "application/problem+json")
    assert not Fact.objects.exists()


@pytest.mark.parametrize(("days", "state"), [(7, State.KEPT), (-7, State.KEPT), (8, State.REFUSED)])
def test_a_house_counts_for_a_week_around_its_day(
    company: Company, day: Day, days: int, state: State
) -> None:
    CrewDay.objects.update(date=MONDAY + timedelta(days=days))
    (taken,) = take(company, said(day, 1, "set_out"))
    assert taken.state == state


def test_who_waited_for_the_house_looks_again_before_keeping(company: Company, day: Day) -> None:
    """While one process waits for the house, another keeps the same fact."""
    fact = said(day, 1, "set_out")

    def another_comes_first(job_id: int) -> Job:
        with patch.object(facts, "job_locked", job_locked):
            assert [one.state for one in take(company, fact)] == [State.KEPT]
        return job_locked(job_id)

    with patch.object(facts, "job_locked", another_comes_first):
        (taken,) = take(company, fact)
    assert (taken.state, Fact.objects.count()) == (State.ALREADY, 1)
