"""One posted answer about a condition, for every page that takes one; decides nothing itself."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.shortcuts import get_object_or_404

from contractor.access import scope_of
from contractor.events import Actor
from contractor.models import Branch, User
from jobs.conditions.states import (
    OWED,
    PROMISED,
    REPORTED_DONE,
    TAKEN_OVER,
    MoveRefused,
    moves_open,
)
from jobs.conditions_rows import terms_of
from jobs.forms.answers import MoveForm, form_sentences
from jobs.models import Condition, Job
from jobs.queries import local_date
from jobs.services import Stale, condition_move, mover_of
from jobs.shown import said, word
from jobs.views.refusal import BAD_INPUT, CONFLICT, Refusal, someone_was_quicker, standing
from jobs.views.taking_over import take_over

__all__ = [
    "BAD_INPUT",
    "CONFLICT",
    "Refusal",
    "answer_take",
    "condition_or_404",
    "person",
    "someone_was_quicker",
    "standing",
    "state_line",
    "today_of",
]


def person(request: HttpRequest) -> User:
    """The signed-in person; the guard of the view has seen to it that there is one."""
    assert isinstance(request.user, User)  # noqa: S101
    return request.user


def today_of(user: User, now: datetime) -> date:
    """Today where the person works; an owner, who is at no yard, takes the first one's."""
    branch = user.branch or Branch.objects.order_by("pk").first()
    return local_date(branch, now) if branch else now.date()


def condition_or_404(request: HttpRequest, condition_id: int) -> Condition:
    """The condition, if it is of a job that the person sees."""
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
    form = MoveForm(data, today=today)
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
        return Refusal(CONFLICT, (f"{word(condition.name)}: {said(refused.sentence)}",))
    except Stale as stale:
        return Refusal(CONFLICT, (someone_was_quicker(stale.present),))
    except ValidationError as error:
        return Refusal(BAD_INPUT, tuple(map(word, error.messages)))
    return None


def _may_take_over(condition: Condition, actor: Actor) -> bool:
    """Whether it is worth asking how much; else the plain move says why not."""
    return TAKEN_OVER in moves_open(terms_of(condition), condition.state, mover_of(actor))


def state_line(state: str) -> str:
    """Solid for what counts as true, dashed for a word or a promise, hatched for what is owed."""
    return {OWED: "hatched", PROMISED: "dashed", REPORTED_DONE: "dashed"}.get(state, "solid")
