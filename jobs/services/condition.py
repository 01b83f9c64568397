"""Moves of conditions: compare-and-set, by who may make them."""

from datetime import datetime

from django.db import transaction

from contractor.events import Actor
from jobs.conditions.states import Grounds, move_allowed
from jobs.conditions_rows import terms_of
from jobs.localtime import local_date
from jobs.models import Condition
from jobs.services.condition_shift import condition_at, condition_shift
from jobs.services.shared import mover_of


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
    """Move a condition to another state.

    version: of the condition, as the caller saw it. Raises Stale (with the present row) where
    somebody was quicker, MoveRefused where this person may not or the grounds are wanting,
    ValidationError where words are too long.
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
    condition_shift(condition, to_state, grounds, actor=actor, now=now)
    return condition
