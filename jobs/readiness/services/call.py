"""Telephone calls written down: what somebody said about several things at once, or no answer."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction

from contractor.events import Actor, event_record
from contractor.models import Branch
from jobs.conditions.sentences import marked as _
from jobs.conditions.states import PROMISED, REPORTED_DONE, Grounds
from jobs.models import CallAttempt, Condition, Superintendent
from jobs.readiness.services.condition import condition_move
from jobs.readiness.services.disown import condition_disown

DONE, ON_DAY, NOT_THEIRS = "done", "on", "not_theirs"
# Long enough for somebody on a roof to come down (common practice, no source).
REST = timedelta(hours=2)


class CallTaken(Exception):
    """Somebody else rang meanwhile; `present` is the call that was written down last."""

    def __init__(self, present: CallAttempt) -> None:
        super().__init__(f"{present}, by {present.who}")
        self.present = present


@dataclass(frozen=True)
class CallAnswer:
    """What was said of one condition: done, on a day, or not theirs with a note whose it is.

    version: of the condition, as the caller saw it.
    """

    condition_id: int
    version: int
    answer: str
    day: date | None = None
    note: str = ""


@transaction.atomic
def call_record(
    *,
    superintendent_id: int | None,
    branch: Branch,
    answers: Sequence[CallAnswer],
    seen: int,
    actor: Actor,
    now: datetime,
) -> CallAttempt | None:
    """Write down a call and all that was said in it; without answers it is a call in vain.

    superintendent_id: None for houses that have none, whose builder was rung: what was said is
    kept, no call is counted, and None comes back. branch: whose houses it was about. seen: the
    number of the last call that the page showed, 0 for none. Raises CallTaken where a call in
    vain is not the next one, Stale where somebody was quicker with a condition, MoveRefused where
    a move may not be made, ValidationError where a condition is of another superintendent's or
    branch's house. Then nothing is changed.
    """
    person, last = _person_and_last_call(superintendent_id)
    if not answers and last is not None and last.number != seen:
        raise CallTaken(last)
    _refuse_strange(person, branch, answers)
    for answer in answers:
        _take(person, answer, actor, now)
    if person is None:
        return None
    call = CallAttempt.objects.create(
        superintendent=person,
        number=last.number + 1 if last else 1,
        made_at=now,
        made_by=actor.user,
        who=actor.who[:120],
        **_outcome(last, bool(answers), now),
    )
    _record(call, branch, answers, actor, now)
    return call


def _person_and_last_call(
    superintendent_id: int | None,
) -> tuple[Superintendent | None, CallAttempt | None]:
    """Return the person, held against whoever writes down another call, and the last call."""
    if superintendent_id is None:
        return None, None
    person = Superintendent.objects.select_for_update().get(pk=superintendent_id)
    return person, person.calls.order_by("-number").first()


def _refuse_strange(
    person: Superintendent | None, branch: Branch, answers: Sequence[CallAnswer]
) -> None:
    """Refuse unless every condition is of a house that the person runs for us; one statement."""
    if person is None and not answers:
        raise ValidationError(_("This house has no superintendent who could be rung."))
    asked = {answer.condition_id for answer in answers}
    theirs = Condition.objects.filter(
        pk__in=asked, job__site__superintendent=person, job__site__branch=branch
    )
    if theirs.count() != len(asked):
        raise ValidationError(_("That is not a house of the person who was rung."))


def _outcome(last: CallAttempt | None, answered: bool, now: datetime) -> dict[str, object]:
    if answered:
        return {"outcome": CallAttempt.Outcome.ANSWERED, "tries": 0}
    tries = last.tries + 1 if last else 1
    return {"outcome": CallAttempt.Outcome.NO_ANSWER, "tries": tries, "rest_until": now + REST}


def _take(person: Superintendent | None, answer: CallAnswer, actor: Actor, now: datetime) -> None:
    if answer.answer == NOT_THEIRS:
        who = f"{person.name} ({actor.who})" if person else actor.who
        told = Actor(who, actor.source, actor.user)
        condition_disown(
            condition_id=answer.condition_id,
            version=answer.version,
            note=answer.note,
            actor=told,
            now=now,
        )
        return
    condition_move(
        condition_id=answer.condition_id,
        version=answer.version,
        to_state=REPORTED_DONE if answer.answer == DONE else PROMISED,
        grounds=Grounds(day=answer.day, reason=answer.note),
        actor=actor,
        now=now,
    )


def _record(
    call: CallAttempt, branch: Branch, answers: Sequence[CallAnswer], actor: Actor, now: datetime
) -> None:
    what = {
        "superintendent": call.superintendent_id,
        "number": call.number,
        "tries": call.tries,
        "answers": {str(answer.condition_id): answer.answer for answer in answers},
    }
    verb = "answered" if answers else "rang in vain"
    event_record(actor=actor, now=now, verb=verb, thing=call, branch=branch, what=what)
