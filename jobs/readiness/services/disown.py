"""What a builder's side says is not theirs goes back to the office; asks no rights."""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from contractor.events import Actor, event_record
from jobs.conditions.sentences import Sentence
from jobs.conditions.sentences import marked as _
from jobs.conditions.states import OWED, PROMISED, REPORTED_DONE, MoveRefused
from jobs.conditions.words import STATE_NAMES
from jobs.desk.services import Stale
from jobs.models import Condition

OPEN = (OWED, PROMISED, REPORTED_DONE)


@transaction.atomic
def condition_disown(
    *, condition_id: int, version: int, note: str, actor: Actor, now: datetime
) -> Condition:
    """Keep that the builder's side says a condition is not theirs, for the office to sort out.

    It is owed again, whatever was promised or reported, and its reason says who disowned it. Who
    owes it by the catalogue stays. Raises Stale where somebody was quicker, MoveRefused where it
    is settled, ValidationError where the note is empty.
    """
    condition = Condition.objects.select_related("job__site__branch").get(pk=condition_id)
    if condition.version != version:
        raise Stale(condition)
    if condition.state not in OPEN:
        words = {"state": STATE_NAMES[condition.state]}
        raise MoveRefused(Sentence(_("It is %(state)s already: ring the office."), words))
    if not note.strip():
        raise ValidationError(_("Say whose it is, or why it is not yours."))
    before = condition.state
    _disown(condition, f"Not ours, says {actor.who}: {note.strip()}"[:300], actor, now)
    what = {
        "job": condition.job_id,
        "code": condition.code,
        "state": [before, OWED],
        "reason": condition.reason,
    }
    branch = condition.job.site.branch
    event_record(actor=actor, now=now, verb="disowned", thing=condition, branch=branch, what=what)
    return condition


def _disown(condition: Condition, reason: str, actor: Actor, now: datetime) -> None:
    """Write where the version is still the one that was read; else Stale with what is there."""
    fields = {
        "state": OWED,
        "promised_for": None,
        "reason": reason,
        "moved_by": actor.who[:120],
        "moved_at": now,
        "version": condition.version + 1,
    }
    if not Condition.objects.filter(pk=condition.pk, version=condition.version).update(**fields):
        raise Stale(Condition.objects.select_related("job").get(pk=condition.pk))
    for name, value in fields.items():
        setattr(condition, name, value)
