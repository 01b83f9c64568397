"""A Monday of Fairfield yard as its Today page is asked for: clock, facts, the page in words."""

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
from django.urls import reverse
from django.utils import timezone

from contractor.files.photos import Picture
from contractor.models import CrewMember
from scheduling.facts.services.facts import fact_photo_keep, facts_take
from scheduling.models import Fact, TurnedAway
from tests.pages import words
from tests.people import ACTOR, MONDAY, Company, signed_in
from tests.scheduling.facts.facts import SEVEN, Day, day_make, said

PAGE = reverse("today")


def at(clock: str) -> datetime:
    """A time of the Monday by the yard's clock."""
    hours, minutes = clock.split(":")
    return SEVEN + timedelta(hours=int(hours) - 7, minutes=int(minutes))


@pytest.fixture(name="clock", autouse=True)
def clock_fixture(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Puts the clock to a time of that Monday; seven in the morning where nobody says otherwise."""

    def put(moment: str | datetime) -> None:
        now = at(moment) if isinstance(moment, str) else moment
        monkeypatch.setattr(timezone, "now", lambda: now)

    put("7:00")
    return put


@pytest.fixture(name="day")
def day_fixture(company: Company) -> Day:
    CrewMember.objects.filter(user=company.cleo).update(phone="515-555-0171")
    return day_make(company)


def tell(company: Company, day: Day, number: int, kind: str, **more: Any) -> Fact:
    """Keep a fact as if it was sent at once, so many minutes after seven."""
    moment = SEVEN + timedelta(minutes=number)
    (taken,) = facts_take(
        person=company.cleo,
        phone=None,
        facts=[said(day, number, kind, **more)],
        sent_at=moment,
        now=moment,
    )
    assert taken.state != "refused", taken.why
    return Fact.objects.get(pk=UUID(int=number))


def look(company: Company, query: str = "") -> Any:
    return signed_in(company.omar).get(f"{PAGE}{query}")


def read(company: Company, query: str = "") -> str:
    return words(look(company, query))


def away(company: Company, day: Day) -> Fact:
    """Turned away at 7:30, with a photo that has come."""
    what = {"missing": [day.chase.pk], "why": "the chase is open"}
    fact = tell(company, day, 30, "turned_away", what=what)
    photo = tell(company, day, 31, "photo", what={"about": str(fact.pk), "caption": "the chase"})
    picture = Picture(b"jpeg", 1, 1)
    fact_photo_keep(fact=photo, picture=picture, actor=ACTOR, now=at("7:40"))
    TurnedAway.objects.get_or_create(
        fact=fact, defaults={"branch": company.fairfield, "day": MONDAY, "told_at": at("7:30")}
    )
    return fact
