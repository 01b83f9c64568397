"""What the sweep of faults breaks of the services about phones."""

from collections.abc import Callable
from datetime import timedelta

from contractor.models import Phone
from contractor.phones.services import (
    phone_link_make,
    phone_link_revoke,
    phone_report,
    phone_revoke,
    phone_seen,
    phone_sign_in,
)
from tests.people import ACTOR, NOW, Company

Call = Callable[[], object]


def phone_make(company: Company) -> Phone:
    """Cleo's phone, signed in by a link."""
    _, secret = phone_link_make(person=company.cleo, actor=ACTOR, now=NOW)
    phone = phone_sign_in(secret=secret, browser="word", name="Android, Chrome", now=NOW)
    assert phone is not None
    return phone


def of_link(company: Company) -> Call:
    phone_link_make(person=company.cleo, actor=ACTOR, now=NOW)  # one to withdraw
    return lambda: phone_link_make(person=company.cleo, actor=ACTOR, now=NOW)


def of_link_gone(company: Company) -> Call:
    link, _ = phone_link_make(person=company.cleo, actor=ACTOR, now=NOW)
    return lambda: phone_link_revoke(link_id=link.pk, actor=ACTOR, now=NOW)


def of_sign_in(company: Company) -> Call:
    _, secret = phone_link_make(person=company.cleo, actor=ACTOR, now=NOW)
    return lambda: phone_sign_in(secret=secret, browser="word", name="iPhone, Safari", now=NOW)


def of_revoking(company: Company) -> Call:
    phone = phone_make(company)
    return lambda: phone_revoke(phone_id=phone.pk, actor=ACTOR, now=NOW)


def of_report(company: Company) -> Call:
    number = phone_make(company).pk
    return lambda: phone_report(
        phone=Phone.objects.get(pk=number), unsent=4, unsent_photos=2, now=NOW
    )


def of_seen(company: Company) -> Call:
    number = phone_make(company).pk
    later = NOW + timedelta(minutes=1)
    return lambda: phone_seen(phone=Phone.objects.get(pk=number), now=later)


CASES: dict[str, Callable[[Company], Call]] = {
    "phone_link_make": of_link,
    "phone_link_revoke": of_link_gone,
    "phone_report": of_report,
    "phone_revoke": of_revoking,
    "phone_seen": of_seen,
    "phone_sign_in": of_sign_in,
}
