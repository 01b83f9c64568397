"""Moves of conditions: compare-and-set, by who may make them."""

from datetime import datetime

from django.db import transaction

from contractor.events import Actor
from jobs.catalogue.rows import mover_of, terms_of
from jobs.charges.services import charge_strike, taken_steps
from jobs.conditions.sentences import Sentence
from jobs.conditions.sentences import marked as _
from jobs.conditions.states import OWED, TAKEN_OVER, Grounds, MoveRefused, move_allowed
from jobs.localtime import local_date
from jobs.models import Condition
from jobs.record.services.shift import condition_at, condition_shift


@transaction.atomic
def condition_move(
    *,
    condition_id: int,
    version: int,
    to_state: str,
    grounds: Grounds,
    actor: Actor,
    now: datetime,
) -> Condition:
    """Move a condition to another state; taking it over goes by `condition_take_over` alone.

    One that we had taken over is our step no more: owed again, its charge is struck too, unless
    our work has begun. version: of the condition, as the caller saw it. Raises Stale (with the
    present row) where somebody was quicker, MoveRefused where this person may not or the grounds
    are wanting, ValidationError where words are too long.
    """
    condition = condition_at(condition_id, version)
    move_allowed(
        terms_of(condition),
        condition.state,
        to_state,
        mover_of(actor),
        grounds,
        today=local_date(condition.job.site.branch, now),
    )
    if to_state == TAKEN_OVER:
        raise MoveRefused(Sentence(_("Say how much of it we do, and who agreed.")))
    was_ours = condition.state == TAKEN_OVER
    if was_ours and to_state == OWED:
        charge_strike(condition, reason=grounds.reason, actor=actor, now=now)
    condition_shift(condition, to_state, grounds, actor=actor, now=now)
    if was_ours:
        taken_steps(condition.job)
    return condition
