"""What the office does about a crew that was turned away: told at once, seen once; no plan."""

from datetime import datetime

from django.db import transaction
from django.utils import translation

from contractor.events import Actor, event_record
from contractor.models import OutboxMail, Role, User
from contractor.outbox.services.write import address_ensure, mail_write
from jobs.localtime import local_date
from scheduling.models import Fact, TurnedAway
from scheduling.turned_away.words import end_of_day, turned_away_letter


def turned_away_take(*, fact: Fact, actor: Actor, now: datetime) -> TurnedAway:
    """Put a turned-away fact before the office: a row to be dealt with, and mail to its people.

    Within the fact's transaction, so that neither is there without the other. What two leads of
    a crew say of one visit is told once.
    """
    same = TurnedAway.objects.filter(
        fact__crew=fact.crew_id, fact__job=fact.job_id, day=fact.day, seen_at=None
    )
    with transaction.atomic():
        known = same.first()
        if known is not None:
            return known
        branch = fact.crew.branch
        row = TurnedAway.objects.create(fact=fact, branch=branch, day=fact.day, told_at=now)
        for person in _office(row):
            _mail(row, person, actor, now)
        return row


@transaction.atomic
def turned_away_see(*, turned_away: TurnedAway, actor: Actor, now: datetime) -> TurnedAway:
    """Note that somebody of the office deals with it; the first who does stays written down."""
    rows = TurnedAway.objects.unseen().filter(pk=turned_away.pk)
    if rows.update(seen_at=now, seen_by=actor.user, seen_who=actor.who[:120]):
        fact = turned_away.fact
        what = {"job": fact.job_id, "crew": fact.crew_id, "day": turned_away.day.isoformat()}
        event_record(
            actor=actor,
            now=now,
            verb="seen",
            thing=turned_away,
            branch=turned_away.branch,
            what=what,
        )
    turned_away.refresh_from_db()
    return turned_away


def _office(row: TurnedAway) -> list[User]:
    people = User.objects.filter(role=Role.OFFICE, branch=row.branch, is_active=True)
    return list(people.exclude(email="").order_by("pk"))


def _mail(row: TurnedAway, person: User, actor: Actor, now: datetime) -> None:
    address = address_ensure(person.email)
    if address is None:
        return
    with translation.override(person.language):
        letter = turned_away_letter(row)
    mail_write(
        key=f"turned-away:{row.pk}:{address.pk}",
        kind=OutboxMail.Kind.TURNED_AWAY,
        branch=row.branch,
        address=address,
        to_name=person.get_full_name() or person.username,
        language=person.language,
        letter=letter,
        expires_at=end_of_day(row.branch, max(row.day, local_date(row.branch, now))),
        actor=actor,
        now=now,
    )
