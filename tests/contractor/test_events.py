"""The record of changes: written once, never changed."""

import pytest

from contractor.events import Actor, event_record
from contractor.models import Event
from tests.people import NOW, Company

pytestmark = pytest.mark.django_db


def test_an_event_says_who_when_what_and_from_where(company: Company) -> None:
    actor = Actor.of_user(company.omar)
    event_record(
        actor=actor,
        now=NOW,
        verb="renamed",
        thing=company.north,
        branch=company.fairfield,
        what={"name": ["North", "Pine"]},
    )
    event = Event.objects.get()
    assert (event.user, event.at, event.source) == (company.omar, NOW, "office")
    assert (event.noun, event.noun_id, event.verb) == ("crew", str(company.north.pk), "renamed")
    assert event.what == {"name": ["North", "Pine"]}


def test_events_cannot_be_changed_or_removed(company: Company) -> None:
    event = event_record(actor=Actor.of_command("test"), now=NOW, verb="made", thing=company.north)
    event.who = "somebody else"
    with pytest.raises(TypeError, match="append-only"):
        event.save()
    with pytest.raises(TypeError, match="append-only"):
        event.delete()
    with pytest.raises(TypeError, match="append-only"):
        Event.objects.all().delete()
    with pytest.raises(TypeError, match="append-only"):
        Event.objects.update(who="somebody else")
    assert Event.objects.get().who == "command test"
