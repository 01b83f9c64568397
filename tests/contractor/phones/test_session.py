"""What a phone's session opens, for how long, and what ends it."""

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.contrib.sessions.models import Session
from django.db import OperationalError, connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from pytest_django import Settings

from contractor.models import Event, Role
from contractor.phones.services import phone_revoke
from contractor.phones.session import PHONE
from tests.contractor.phones.world import address_of, browser_make, phone_in, press, secret_of
from tests.people import ACTOR, PASSWORD, Company, password_give, signed_in

pytestmark = pytest.mark.django_db


def is_in(browser: Client) -> bool:
    return browser.get(reverse("crew-days")).status_code == 200


def test_a_phone_stays_in_for_180_days_after_its_last_use(company: Company) -> None:
    browser = browser_make()
    phone_in(browser, company.cleo)
    start = timezone.now()
    for days in (179, 179 + 179, 3 * 179):
        with time_machine.travel(start + timedelta(days=days)):
            assert is_in(browser)
            assert browser.cookies["sessionid"]["max-age"] == 180 * 24 * 60 * 60
    with time_machine.travel(start + timedelta(days=3 * 179 + 180, hours=1)):
        assert not is_in(browser)


def test_the_days_are_a_setting(company: Company, settings: Settings) -> None:
    settings.PHONE_DAYS = 7
    browser = browser_make()
    phone_in(browser, company.cleo)
    assert browser.cookies["sessionid"]["max-age"] == 7 * 24 * 60 * 60
    with time_machine.travel(timezone.now() + timedelta(days=8)):
        assert not is_in(browser)


def test_the_session_gets_a_key_and_a_token_of_its_own(company: Company) -> None:
    browser = signed_in(company.saul)
    browser.get(reverse("crew-days"))
    before = (browser.cookies["sessionid"].value, browser.cookies["csrftoken"].value)
    phone_in(browser, company.cleo)
    after = (browser.cookies["sessionid"].value, browser.cookies["csrftoken"].value)
    assert before[0] != after[0]
    assert before[1] != after[1]
    assert not Session.objects.filter(pk=before[0]).exists()


def test_a_revoked_phone_is_out_at_its_next_request(company: Company) -> None:
    browser = browser_make()
    phone = phone_in(browser, company.cleo)
    assert is_in(browser)
    phone_revoke(phone_id=phone.pk, actor=ACTOR, now=timezone.now())
    answer = browser.get("/api/crew-days")
    assert answer.status_code in {401, 403}
    assert not is_in(browser)
    assert not Session.objects.exists()


def test_one_phone_ended_leaves_the_other_in(company: Company) -> None:
    lost, kept = browser_make(), browser_make()
    phone = phone_in(lost, company.cleo)
    phone_in(kept, company.cleo)
    phone_revoke(phone_id=phone.pk, actor=ACTOR, now=timezone.now())
    assert not is_in(lost)
    assert is_in(kept)


@pytest.mark.parametrize(
    ("field", "value"),
    [("is_active", False), ("role", Role.OFFICE), ("is_staff", True), ("is_superuser", True)],
)
def test_whoever_is_no_lead_at_work_any_more_is_out(
    company: Company, field: str, value: object
) -> None:
    browser = browser_make()
    phone_in(browser, company.cleo)
    setattr(company.cleo, field, value)
    company.cleo.save()
    assert not is_in(browser)
    assert browser.get("/admin/").status_code == 302
    setattr(company.cleo, field, {"is_active": True, "role": Role.CREW_LEAD}.get(field, False))
    company.cleo.save()
    assert not is_in(browser)  # a session that was ended does not come back


def test_a_changed_password_ends_the_desk_s_session_and_no_crew_s_day(company: Company) -> None:
    browser, desk = browser_make(), signed_in(company.cleo)
    phone_in(browser, company.cleo)
    company.cleo.set_password("another password 2")
    company.cleo.save()
    assert not is_in(desk)
    assert is_in(browser)


def test_signing_out_ends_the_phone(company: Company) -> None:
    browser = browser_make()
    phone = phone_in(browser, company.cleo)
    browser.get(reverse("crew-days"))
    token = browser.cookies["csrftoken"].value
    browser.post(reverse("sign-out"), {"csrfmiddlewaretoken": token})
    phone.refresh_from_db()
    assert phone.revoked_by == company.cleo
    assert Event.objects.filter(noun="phone", verb="revoked", source="phone").count() == 1
    assert not is_in(browser)
    assert browser.get(reverse("sign-in")).status_code == 200


def test_a_password_typed_on_a_phone_ends_the_phone_and_its_long_days(company: Company) -> None:
    password_give(company.olive)
    browser = Client()
    phone = phone_in(browser, company.cleo)
    browser.post("/admin/login/?next=/", {"username": "olive", "password": PASSWORD})
    assert browser.get("/").wsgi_request.user == company.olive
    assert PHONE not in browser.session
    assert browser.session.get_expiry_age() == 14 * 24 * 60 * 60
    assert browser.cookies["sessionid"]["max-age"] == 14 * 24 * 60 * 60
    phone.refresh_from_db()
    assert phone.revoked_at is not None


def phone_known(browser: Client) -> object:
    request: Any = browser.get(reverse("crew-days")).wsgi_request
    return request.phone


def test_a_password_s_session_has_no_phone(company: Company) -> None:
    password_give(company.cleo)
    browser = Client()
    browser.post(reverse("sign-in"), {"username": "cleo", "password": PASSWORD})
    assert phone_known(browser) is None
    assert is_in(browser)


def test_the_pages_know_the_phone(company: Company) -> None:
    browser = browser_make()
    phone = phone_in(browser, company.cleo)
    assert phone_known(browser) == phone


@pytest.mark.parametrize("number", [0, -1, 10**30, 987654])
def test_a_session_that_names_no_phone_opens_nothing(company: Company, number: int) -> None:
    browser = browser_make()
    phone_in(browser, company.cleo)
    session = browser.session
    session[PHONE] = number
    session.save()
    assert not is_in(browser)


def test_a_phone_costs_no_query_more_than_a_password(company: Company) -> None:
    browser, desk = browser_make(), signed_in(company.cleo)
    phone_in(browser, company.cleo)
    counts = []
    for one in (browser, desk):
        one.get(reverse("crew-days"))
        with CaptureQueriesContext(connection) as queries:
            one.get(reverse("crew-days"))
        counts.append(len(queries))
    assert counts[0] <= counts[1], counts


def test_when_it_was_seen_is_kept_by_the_minute(company: Company) -> None:
    browser = browser_make()
    phone = phone_in(browser, company.cleo)
    later = phone.last_seen_at + timedelta(minutes=2)
    with time_machine.travel(later, tick=False):
        is_in(browser)
    with time_machine.travel(later + timedelta(seconds=30), tick=False):
        is_in(browser)
    phone.refresh_from_db()
    assert phone.last_seen_at == later


def test_a_busy_database_spoils_no_page(
    company: Company, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def busy(**_: object) -> bool:
        raise OperationalError("database is locked")

    browser = browser_make()
    phone_in(browser, company.cleo)
    monkeypatch.setattr("contractor.phones.session.phone_seen", busy)
    assert is_in(browser)
    assert "could not be kept" in caplog.text


def test_a_link_pressed_on_a_revoked_phone_signs_in_anew(company: Company) -> None:
    browser = browser_make()
    phone = phone_in(browser, company.cleo)
    phone_revoke(phone_id=phone.pk, actor=ACTOR, now=timezone.now())
    secret = secret_of(company.cleo)
    assert press(browser, secret).status_code == 302
    assert is_in(browser)
    assert browser.get(address_of(secret)).status_code == 302
