"""Links that sign phones in: once, for a day, for leads at work; what a phone reports; its end."""

from datetime import timedelta

import pytest

from contractor.events import Actor
from contractor.models import Event, Phone, PhoneLink, Role
from contractor.phones.services import (
    LINK_HOURS,
    PhoneRefused,
    phone_link_make,
    phone_link_revoke,
    phone_report,
    phone_revoke,
    phone_seen,
    phone_sign_in,
)
from tests.people import ACTOR, NOW, Company
from tests.trust.faults.phones import phone_make

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(seconds=59)
A_MINUTE_LATER = NOW + timedelta(minutes=1)


def link_make(company: Company, person: str = "cleo") -> tuple[PhoneLink, str]:
    actor = Actor.of_user(company.omar)
    return phone_link_make(person=getattr(company, person), actor=actor, now=NOW)


def sign_in(secret: str, browser: str = "a", now=NOW) -> Phone | None:  # type: ignore[no-untyped-def]
    return phone_sign_in(secret=secret, browser=browser, name="iPhone, Safari", now=now)


def test_a_link_makes_one_phone_of_its_person(company: Company) -> None:
    link, secret = link_make(company)
    phone = sign_in(secret)
    assert phone is not None
    assert (phone.person, phone.name, phone.link) == (company.cleo, "iPhone, Safari", link)
    assert sign_in(secret, "another browser") is None
    assert Phone.objects.count() == 1


def test_the_secret_stands_in_no_row(company: Company) -> None:
    _, secret = link_make(company)
    sign_in(secret, "browser word")
    rows = repr([*PhoneLink.objects.values(), *Phone.objects.values(), *Event.objects.values()])
    assert secret not in rows
    assert "browser word" not in rows


def test_the_browser_that_used_a_link_may_ask_again_and_gets_the_same_phone(
    company: Company,
) -> None:
    _, secret = link_make(company)
    first, again = sign_in(secret), sign_in(secret, now=NOW + timedelta(hours=3))
    assert first == again
    assert Event.objects.filter(verb="signed in").count() == 1


def test_a_browser_without_a_word_never_gets_in_twice(company: Company) -> None:
    _, secret = link_make(company)
    assert sign_in(secret, "") is not None
    assert sign_in(secret, "") is None


def test_asking_again_ends_with_the_link_and_with_the_phone(company: Company) -> None:
    _, secret = link_make(company)
    phone = sign_in(secret)
    assert phone is not None
    assert sign_in(secret, now=NOW + timedelta(hours=LINK_HOURS)) is None
    phone_revoke(phone_id=phone.pk, actor=ACTOR, now=NOW)
    assert sign_in(secret) is None


@pytest.mark.parametrize("secret", ["", "x", "m" * 43, "\x00", "\ud800", "ñ" * 5000])
def test_what_is_no_secret_opens_nothing(company: Company, secret: str) -> None:
    link_make(company)
    assert sign_in(secret) is None
    assert PhoneLink.objects.get().used_at is None


def test_a_link_ends_after_a_day_to_the_second(company: Company) -> None:
    _, secret = link_make(company)
    end = NOW + timedelta(hours=24)
    assert sign_in(secret, now=end) is None
    assert sign_in(secret, now=end - timedelta(seconds=1)) is not None


def test_a_withdrawn_link_opens_nothing_and_a_used_one_is_not_withdrawn(company: Company) -> None:
    link, secret = link_make(company)
    assert phone_link_revoke(link_id=link.pk, actor=ACTOR, now=NOW)
    assert not phone_link_revoke(link_id=link.pk, actor=ACTOR, now=NOW)
    assert sign_in(secret) is None
    used, other = link_make(company, "saul")
    sign_in(other)
    assert not phone_link_revoke(link_id=used.pk, actor=ACTOR, now=NOW)
    assert Event.objects.filter(verb="revoked").count() == 1


def test_a_new_link_withdraws_the_one_before_but_not_another_s(company: Company) -> None:
    _, old = link_make(company)
    _, other = link_make(company, "saul")
    _, new = link_make(company)
    assert sign_in(old) is None
    assert sign_in(new) is not None
    assert sign_in(other) is not None


@pytest.mark.parametrize("name", ["olive", "omar", "esme"])
def test_whoever_is_no_lead_gets_no_link(company: Company, name: str) -> None:
    with pytest.raises(PhoneRefused, match="crew leads"):
        link_make(company, name)
    assert not PhoneLink.objects.exists()


@pytest.mark.parametrize(
    ("field", "value"),
    [("is_active", False), ("role", Role.OFFICE), ("is_staff", True), ("is_superuser", True)],
)
def test_whoever_became_more_or_less_than_a_lead_meanwhile_does_not_get_in(
    company: Company, field: str, value: object
) -> None:
    _, secret = link_make(company)
    _, used = link_make(company, "saul")
    phone = sign_in(used)
    for person in (company.cleo, company.saul):
        setattr(person, field, value)
        person.save()
    assert sign_in(secret) is None
    assert sign_in(used) is None
    assert phone not in Phone.objects.live(NOW)
    with pytest.raises(PhoneRefused):
        link_make(company)


def test_a_phone_is_ended_once_by_name(company: Company) -> None:
    phone = phone_make(company)
    phone_report(phone=phone, unsent=3, unsent_photos=1, now=NOW)
    actor = Actor.of_user(company.omar)
    assert phone_revoke(phone_id=phone.pk, actor=actor, now=NOW)
    assert not phone_revoke(phone_id=phone.pk, actor=ACTOR, now=A_MINUTE_LATER)
    phone.refresh_from_db()
    assert (phone.revoked_by, phone.revoked_at) == (company.omar, NOW)
    event = Event.objects.get(noun="phone", verb="revoked")
    assert event.branch == company.fairfield
    assert event.what == {"person": company.cleo.pk, "unsent": 3, "unsent_photos": 1}


def test_a_phone_not_used_for_long_is_not_signed_in_any_more(company: Company) -> None:
    phone = phone_make(company)
    assert phone in Phone.objects.live(NOW + timedelta(days=179))
    assert phone not in Phone.objects.live(NOW + timedelta(days=180))


def test_a_report_is_written_when_a_figure_changed_or_a_minute_went_by(company: Company) -> None:
    phone = phone_make(company)
    assert phone_report(phone=phone, unsent=0, unsent_photos=0, now=NOW)
    assert not phone_report(phone=phone, unsent=0, unsent_photos=0, now=LATER)
    assert phone_report(phone=phone, unsent=1, unsent_photos=0, now=LATER)
    assert phone_report(phone=phone, unsent=1, unsent_photos=2, now=LATER)
    kept = Phone.objects.get()
    assert (kept.unsent, kept.unsent_photos, kept.reported_at, kept.last_seen_at) == (
        1,
        2,
        LATER,
        LATER,
    )
    assert phone_report(phone=phone, unsent=1, unsent_photos=2, now=LATER + timedelta(minutes=1))


@pytest.mark.parametrize("figures", [(-1, 0), (0, -1), (2**31, 0), (0, 10**30)])
def test_a_figure_that_cannot_be_is_refused(company: Company, figures: tuple[int, int]) -> None:
    phone = phone_make(company)
    with pytest.raises(ValueError, match="expected 0 to"):
        phone_report(phone=phone, unsent=figures[0], unsent_photos=figures[1], now=NOW)
    assert Phone.objects.get().reported_at is None


def test_an_ended_phone_reports_nothing(company: Company) -> None:
    phone = phone_make(company)
    phone_revoke(phone_id=phone.pk, actor=ACTOR, now=NOW)
    assert not phone_report(phone=phone, unsent=9, unsent_photos=0, now=A_MINUTE_LATER)
    assert Phone.objects.get().unsent == 0


def test_when_a_phone_was_seen_is_kept_by_the_minute(company: Company) -> None:
    phone = phone_make(company)
    assert not phone_seen(phone=phone, now=LATER)
    assert phone_seen(phone=phone, now=A_MINUTE_LATER)
    assert Phone.objects.get().last_seen_at == A_MINUTE_LATER
