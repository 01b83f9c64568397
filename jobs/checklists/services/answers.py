"""A superintendent's answers from the checklist, all of a house at once; knows no page."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from contractor.events import Actor
from contractor.files.photos import Picture, photo_keep
from contractor.models import Event
from jobs.checklists.queries import checklist_condition
from jobs.checklists.services.link import checklist_actor
from jobs.checklists.services.receipts import Answered, receipt_write
from jobs.conditions.sentences import marked as _
from jobs.conditions.states import PROMISED, REPORTED_DONE, Grounds
from jobs.models import ChecklistLink, Condition, ConditionPhoto
from jobs.readiness.services.condition import condition_move
from jobs.readiness.services.disown import condition_disown

DONE, ON_DAY, NOT_OURS = "done", "on", "not_ours"
MOST_PHOTOS = 10


@dataclass(frozen=True)
class ChecklistAnswer:
    """One answer: done, on a day, or not ours; `version` is the one that the page showed.

    picture: a photograph that answers for it, made anew already.
    """

    condition_id: int
    version: int
    answer: str
    day: date | None = None
    note: str = ""
    picture: Picture | None = None


@transaction.atomic
def checklist_answer(
    *, link: ChecklistLink, answers: Iterable[ChecklistAnswer], name: str, now: datetime
) -> list[Condition]:
    """Take the answers of whoever holds the link, all of them or none, and write a receipt.

    Raises Stale where somebody was quicker, MoveRefused where a crew has seen the thing already,
    ValidationError where a condition is not one of the link's own.
    """
    actor = _actor(link, name)
    taken, told = [], []
    for answer in answers:
        condition = _take(link, answer, actor, now)
        if answer.picture:
            _photo_keep(condition, answer.picture, actor, now)
        if condition.version > answer.version:  # not what was said once already
            told.append(Answered(condition, answer.answer == NOT_OURS, answer.note))
        taken.append(condition)
    receipt_write(link=link, answered=told, actor=actor, now=now)
    return taken


def _actor(link: ChecklistLink, name: str) -> Actor:
    """Name whoever typed a name; say the link's own superintendent where it is somebody else."""
    owner = checklist_actor(link)
    if name.strip().casefold() == owner.who.casefold():
        return owner
    return Actor(who=f"{name.strip()}, by the link of {owner.who}", source=Event.Source.LINK)


def _take(link: ChecklistLink, answer: ChecklistAnswer, actor: Actor, now: datetime) -> Condition:
    condition = checklist_condition(link, answer.condition_id)
    if condition is None:
        raise ValidationError(_("That is not on this checklist any more. Open the link again."))
    if answer.answer == NOT_OURS:
        return condition_disown(
            condition_id=condition.pk,
            version=answer.version,
            note=answer.note,
            actor=actor,
            now=now,
        )
    if answer.answer == DONE and condition.state == REPORTED_DONE:
        return condition  # said once already, and true still
    return condition_move(
        condition_id=condition.pk,
        version=answer.version,
        to_state=REPORTED_DONE if answer.answer == DONE else PROMISED,
        grounds=Grounds(day=answer.day, reason=answer.note),
        actor=actor,
        now=now,
    )


def _photo_keep(condition: Condition, picture: Picture, actor: Actor, now: datetime) -> None:
    """Keep a photograph of a thing; ValidationError where it has as many as anybody looks at."""
    if condition.photos.count() >= MOST_PHOTOS:
        raise ValidationError(_("There are ten photos of this thing already; send no more."))
    branch = condition.job.site.branch
    photo = photo_keep(picture=picture, branch=branch, actor=actor, now=now)
    ConditionPhoto.objects.create(condition=condition, photo=photo, state=condition.state)
