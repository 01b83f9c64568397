"""A phone signed in by a link sends facts: what it keeps is known, and its end ends that."""

import json
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from contractor.models import Phone
from contractor.phones.services import phone_revoke
from jobs.localtime import local_date
from scheduling.models import Fact
from tests.contractor.phones.world import browser_make, phone_in
from tests.pages import Reply
from tests.people import ACTOR, Company, signed_in

pytestmark = pytest.mark.django_db
NOTE_ID = "0f8fad5b-d9cb-469f-a165-70867728950e"


def send(browser: Client, company: Company, person: int, unsent: int, *facts: object) -> Reply:
    now = timezone.now()
    body = {
        "person": person,
        "now": now.isoformat(),
        "unsent": unsent,
        "unsent_photos": 2,
        "facts": facts,
    }
    headers = {}
    if "csrftoken" not in browser.cookies:
        browser.get("/phones/mine/")
    if "csrftoken" in browser.cookies:
        headers["X-CSRFToken"] = browser.cookies["csrftoken"].value
    return browser.post(
        "/api/facts", json.dumps(body), content_type="application/json", headers=headers
    )


def note(company: Company) -> dict[str, object]:
    now = timezone.now()
    return {
        "id": NOTE_ID,
        "kind": "note",
        "crew": company.north.pk,
        "day": local_date(company.fairfield, now).isoformat(),
        "job": None,
        "at": (now - timedelta(minutes=5)).isoformat(),
        "what": {"text": "hose torn"},
    }


def test_a_phone_s_facts_carry_the_phone_and_what_it_still_keeps(company: Company) -> None:
    browser = browser_make()
    phone = phone_in(browser, company.cleo)
    answer = send(browser, company, company.cleo.pk, 3, note(company))
    assert answer.json() == {"kept": [NOTE_ID], "refused": []}
    assert Fact.objects.get().phone == phone
    phone.refresh_from_db()
    assert (phone.unsent, phone.unsent_photos) == (3, 2)
    assert phone.reported_at == phone.last_seen_at


def test_an_ended_phone_is_told_to_sign_in_and_nothing_is_kept(company: Company) -> None:
    browser = browser_make()
    phone = phone_in(browser, company.cleo)
    send(browser, company, company.cleo.pk, 3)
    phone_revoke(phone_id=phone.pk, actor=ACTOR, now=timezone.now())
    answer = send(browser, company, company.cleo.pk, 9, note(company))
    assert answer.status_code in {401, 403}
    assert not Fact.objects.exists()
    phone.refresh_from_db()
    assert phone.unsent == 3


def test_what_one_person_left_on_a_phone_is_not_taken_from_the_next(company: Company) -> None:
    browser = browser_make()
    phone_in(browser, company.cleo)
    phone = phone_in(browser, company.saul)
    answer = send(browser, company, company.cleo.pk, 3, note(company))
    assert answer.status_code == 409
    phone.refresh_from_db()
    assert phone.reported_at is None


@pytest.mark.parametrize("unsent", [-1, 2**31, 10**30, "x", None])
def test_a_count_that_cannot_be_is_refused_and_keeps_nothing(
    company: Company, unsent: object
) -> None:
    browser = browser_make()
    phone_in(browser, company.cleo)
    answer = send(browser, company, company.cleo.pk, unsent, note(company))  # type: ignore[arg-type]
    assert answer.status_code == 400
    assert not Fact.objects.exists()
    assert Phone.objects.get().reported_at is None


def test_who_signed_in_by_password_reports_of_no_phone(company: Company) -> None:
    answer = send(signed_in(company.cleo), company, company.cleo.pk, 3, note(company))
    assert answer.status_code == 200
    assert Fact.objects.get().phone is None
