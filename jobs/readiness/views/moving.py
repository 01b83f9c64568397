"""One posted answer about a condition, for every page that takes one; decides nothing itself."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.shortcuts import get_object_or_404

from contractor.access import scope_of
from contractor.events import Actor
from jobs.catalogue.rows import mover_of, terms_of
from jobs.charges.views.taking_over import take_over
from jobs.conditions.states import (
    TAKEN_OVER,
    MoveRefused,
    moves_open,
)
from jobs.desk.forms import form_sentences
from jobs.desk.services import Stale
from jobs.desk.views.refusal import BAD_INPUT, CONFLICT, Refusal, someone_was_quicker
from jobs.models import Condition, Job
from jobs.readiness.forms import ConditionMoveForm
from jobs.readiness.services.condition import condition_move
from jobs.wording import sentence_text, word


def condition_or_404(request: HttpRequest, condition_id: int) -> Condition:
    """Return the condition, if it is of a job that the person sees."""
    jobs = Job.objects.visible_to(scope_of(request.user))
    conditions = Condition.objects.select_related("job__site__branch")
    return get_object_or_404(conditions, pk=condition_id, job__in=jobs)


def answer_take(
    condition: Condition,
    data: Mapping[str, Any],
    *,
    actor: Actor,
    now: datetime,
    today: date,
    files: Any = None,
) -> Refusal | None:
    """Make the move that was posted; None when it was made, else why it was not.

    files: what was sent with it, a photo of what we take over.
    """
    if data.get("to_state") == TAKEN_OVER and _may_take_over(condition, actor):
        return take_over(condition, data, files, actor=actor, now=now)
    form = ConditionMoveForm(data, today=today)
    if not form.is_valid():
        return Refusal(BAD_INPUT, tuple(form_sentences(form)))
    try:
        condition_move(
            condition_id=condition.pk,
            version=form.cleaned_data["version"],
            to_state=form.cleaned_data["to_state"],
            grounds=form.grounds(),
            actor=actor,
            now=now,
        )
    except MoveRefused as refused:
        return Refusal(CONFLICT, (f"{word(condition.name)}: {sentence_text(refused.sentence)}",))
    except Stale as stale:
        return Refusal(CONFLICT, (someone_was_quicker(stale.present),))
    except ValidationError as error:
        return Refusal(BAD_INPUT, tuple(map(word, error.messages)))
    return None


def _may_take_over(condition: Condition, actor: Actor) -> bool:
    """Tell whether it is worth asking how much; else the plain move says why not."""
    return TAKEN_OVER in moves_open(terms_of(condition), condition.state, mover_of(actor))
