"""Writes the append-only record; called by every service, in the service's transaction."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import models

from contractor.models import Branch, Event, User


@dataclass(frozen=True)
class Actor:
    """Who acts, and from where: a user, a superintendent by link, a command."""

    who: str
    source: str
    user: User | None = None

    @classmethod
    def of_user(cls, user: User, source: str = Event.Source.OFFICE) -> "Actor":
        """Return the actor that a signed-in person is."""
        return cls(who=user.get_full_name() or user.username, source=source, user=user)

    @classmethod
    def of_command(cls, name: str) -> "Actor":
        """Return the actor that a manage.py command is."""
        return cls(who=f"command {name}", source=Event.Source.COMMAND)


def event_record(
    *,
    actor: Actor,
    now: datetime,
    verb: str,
    thing: models.Model,
    branch: Branch | None = None,
    what: dict[str, Any] | None = None,
) -> Event:
    """Append one event about `thing`; `what` holds the values before and after, as JSON."""
    return Event.objects.create(
        at=now,
        user=actor.user,
        who=actor.who[:120],
        source=actor.source,
        verb=verb,
        noun=str(thing._meta.model_name),
        noun_id=str(thing.pk),
        branch=branch,
        what=what or {},
    )
