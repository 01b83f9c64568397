"""Many browsers that use one link at the same moment, each with a connection."""

from collections import Counter
from datetime import UTC, datetime
from functools import partial
from typing import Any

from contractor.events import Actor
from contractor.models import Event, Phone, PhoneLink
from contractor.phones.services import phone_link_make, phone_link_revoke, phone_sign_in
from tests.people import ACTOR, Company, company_make
from tests.trust.crowd import Crowd

BROWSERS = 8


def main() -> dict[str, Any]:
    """Let the crowd loose on a company of its own; for a child process."""
    return link_used(company_make())


def link_used(company: Company) -> dict[str, Any]:
    """Use a link from as many browsers, another one by as many taps of one, withdraw a third."""
    with Crowd(BROWSERS) as crowd:
        return {
            "browsers": _used(company, crowd, [f"browser {n}" for n in range(BROWSERS)]),
            "taps": _used(company, crowd, ["one browser"] * BROWSERS),
            "withdrawn": _withdrawn(company, crowd),
        }


def _used(company: Company, crowd: Crowd, browsers: list[str]) -> dict[str, int]:
    now = datetime.now(UTC)
    link, secret = phone_link_make(person=company.cleo, actor=ACTOR, now=now)
    tap = partial(phone_sign_in, secret=secret, name="", now=now)
    got = crowd.at_once([partial(tap, browser=browser) for browser in browsers])
    phones = Phone.objects.filter(link=link)
    events = Event.objects.filter(noun="phone", noun_id__in=[str(one.pk) for one in phones])
    let_in = [one for one in got if one is not None]
    return {
        "let in": len(let_in),
        "phones": phones.count(),
        "phones let in": len(set(let_in)),
        "events": events.count(),
    }


def _withdrawn(company: Company, crowd: Crowd) -> dict[str, int]:
    """Half use it, half withdraw it: it is the one or the other."""
    now = datetime.now(UTC)
    link, secret = phone_link_make(person=company.saul, actor=ACTOR, now=now)
    use = [
        partial(phone_sign_in, secret=secret, browser=f"b{n}", name="", now=now)
        for n in range(crowd.people // 2)
    ]
    actor = Actor.of_command("tests")
    end = [partial(phone_link_revoke, link_id=link.pk, actor=actor, now=now)] * len(use)
    counts = Counter(type(one).__name__ for one in crowd.at_once([*use, *end]) if one)
    link = PhoneLink.objects.get(pk=link.pk)
    return {
        "winners": counts["Phone"] + counts["bool"],
        "states": (link.used_at is not None) + (link.revoked_at is not None),
        "phones as said": int(Phone.objects.filter(link=link).count() == counts["Phone"]),
    }
