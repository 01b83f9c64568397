"""One posted answer about a condition, for every page that takes one; decides nothing itself."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _

from contractor.access import scope_of
from contractor.events import Actor
from contractor.models import Branch, User
from jobs.conditions.states import OWED, PROMISED, REPORTED_DONE, MoveRefused
from jobs.conditions.words import STATE_NAMES
from jobs.forms.answers import MoveForm, form_sentences
from jobs.models import Condition, Job
from jobs.queries import local_date
from jobs.services import Stale, condition_move
from jobs.shown import day_shown, said, word

BAD_INPUT, CONFLICT = 400, 409


@dataclass(frozen=True)
class Refusal:
    """Why something posted changed nothing: a status and sentences for the person."""

    status: int
    sentences: tuple[str, ...]


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
    condition: Condition, data: Mapping[str, Any], *, actor: Actor, now: datetime, today: date
) -> Refusal | None:
    """Make the move that was posted; None when it was made, else why it was not."""
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


def someone_was_quicker(condition: Condition) -> str:
    """What is true now of a condition that somebody else moved first."""
    return _(
        "%(name)s: somebody was quicker. It is now %(standing)s. Nothing of yours was saved;"
        " look once more and answer again if it is still needed."
    ) % {"name": word(condition.name), "standing": standing(condition)}


def standing(condition: Condition) -> str:
    """A condition's state in words: `promised for Tue Mar 2 (Rosa Reyes)`."""
    words = word(STATE_NAMES[condition.state])
    if condition.promised_for:
        words = _("%(state)s for %(day)s") % {
            "state": words,
            "day": day_shown(condition.promised_for),
        }
    return f"{words} ({condition.moved_by})" if condition.moved_by else words


def state_line(state: str) -> str:
    """Solid for what counts as true, dashed for a word or a promise, hatched for what is owed."""
    return {OWED: "hatched", PROMISED: "dashed", REPORTED_DONE: "dashed"}.get(state, "solid")
