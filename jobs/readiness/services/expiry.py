"""Conditions that run out go back to owed, with the reason; asked for by a command or a task."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta

from django.db import transaction

from contractor.events import Actor
from jobs.catalogue.rows import entry_of
from jobs.conditions.catalogue import CatalogueEntry
from jobs.conditions.sentences import Sentence
from jobs.conditions.sentences import marked as _
from jobs.conditions.states import OWED, PROMISED, SEEN_DONE, Grounds
from jobs.desk.services import Stale
from jobs.localtime import local_date
from jobs.models import Condition, Job
from jobs.readiness.services.condition import condition_move

LAPSED = _("The appointment of %(day)s is past, and nobody has said how it went.")
RUN_OUT = _("It was seen done more than %(hours)d hours ago and has to be seen anew.")


@transaction.atomic
def conditions_expire(*, actor: Actor, now: datetime) -> list[Condition]:
    """Move what has run out back to owed, in open jobs; return those conditions.

    An appointment runs out with its day, in the yard's zone, where nobody has said how it went;
    what counts for hours, such as a house empty for spraying foam, when they are over. Where
    somebody answers at the same moment the answer stands.
    """
    moved = []
    for row, reason in _run_out(now):
        try:
            moved.append(
                condition_move(
                    condition_id=row.pk,
                    version=row.version,
                    to_state=OWED,
                    grounds=Grounds(reason=str(reason)),
                    actor=actor,
                    now=now,
                )
            )
        except Stale:
            continue
    return moved


def _run_out(now: datetime) -> Iterator[tuple[Condition, Sentence]]:
    rows = Condition.objects.filter(
        job__state=Job.State.OPEN, needed=True, state__in=(PROMISED, SEEN_DONE)
    ).select_related("job__site__branch")
    for row in rows.order_by("pk"):
        entry = entry_of(row)
        today = local_date(row.job.site.branch, now)
        reason = expiry_of(row, entry, today, now) if entry else None
        if reason:
            yield row, reason


def expiry_of(row: Condition, entry: CatalogueEntry, today: date, now: datetime) -> Sentence | None:
    """Tell why a condition has run out by now; None while it has not."""
    if row.state == PROMISED and entry.booked and row.promised_for and row.promised_for < today:
        return Sentence(LAPSED, {"day": row.promised_for})
    if row.state != SEEN_DONE or not entry.valid_hours or row.moved_at is None:
        return None
    is_over = now - row.moved_at >= timedelta(hours=entry.valid_hours)
    return Sentence(RUN_OUT, {"hours": entry.valid_hours}) if is_over else None
