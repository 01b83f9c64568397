"""Posting and discarding drafts of weeks; plans nothing."""

from datetime import datetime

from django.db import transaction

from contractor.events import Actor
from contractor.models import Branch
from contractor.workdays import IsoWeek
from scheduling.models import Week, WeekVersion
from scheduling.services.drafts import DRAFT, POSTED, week_event, week_of, week_revise
from scheduling.services.refusals import PlanRefused


def week_post(
    *, actor: Actor, branch: Branch, week: IsoWeek, expected: int, now: datetime
) -> WeekVersion:
    """Make the week's draft what crews and builders see; what they saw before is kept as replaced.

    `expected` is the revision that the page showed. Raises WeekChanged when it has risen since,
    PlanRefused when there is no draft.
    """
    with transaction.atomic():
        row = week_of(branch, week)
        week_revise(row, expected)
        draft = _draft(row)
        row.versions.filter(state=POSTED).update(state=WeekVersion.State.REPLACED)
        draft.state, draft.posted_at, draft.posted_by = POSTED, now, actor.user
        draft.save(update_fields=["state", "posted_at", "posted_by"])
        week_event(actor=actor, now=now, verb="posted", week=row, what={"version": draft.pk})
    return draft


def draft_discard(
    *, actor: Actor, branch: Branch, week: IsoWeek, expected: int, now: datetime
) -> None:
    """Throw the week's draft away; what is posted counts again.

    Raises WeekChanged when the revision is not the expected one, PlanRefused without a draft.
    """
    with transaction.atomic():
        row = week_of(branch, week)
        week_revise(row, expected)
        _draft(row).delete()
        week_event(actor=actor, now=now, verb="draft discarded", week=row)


def _draft(week: Week) -> WeekVersion:
    draft = week.versions.filter(state=DRAFT).first()
    if draft is None:
        raise PlanRefused(f"Week {week.label} has no draft.")
    return draft
