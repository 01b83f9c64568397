"""Keeping what crews say: each fact once, in any order, whatever was lost on the way."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from contractor.access import Action, Scope, may, scope_of
from contractor.events import Actor, event_record
from contractor.files.photos import Picture, photo_keep
from contractor.models import Crew, Event, Phone, Photo, User
from jobs.desk.services import job_locked
from jobs.models import Condition, Step
from scheduling.facts.services.effects import fact_follow
from scheduling.models import Fact, FactPhoto, Stop, WeekVersion
from scheduling.progress.reading import FactReading, FactWrong, fact_read
from scheduling.runs.services.replans import replans_due
from scheduling.turned_away.services import turned_away_take

STEP_KINDS = frozenset(Step.Kind)
TOLD_TO_CREWS = (WeekVersion.State.POSTED, WeekVersion.State.REPLACED)
# A crew that works ahead or behind says so of a house of its days round about.
NEAR = timedelta(days=7)


class State(StrEnum):
    """What became of a fact that was sent."""

    KEPT = "kept"
    ALREADY = "already"
    REFUSED = "refused"


@dataclass(frozen=True)
class FactTaken:
    """What became of one fact; `why` where it was refused."""

    id: str
    state: State
    why: str = ""


class FactRefused(Exception):
    """A fact that cannot be kept from this person; its text says why."""


def facts_take(
    *,
    person: User,
    phone: Phone | None,
    facts: Sequence[object],
    sent_at: datetime,
    now: datetime,
) -> list[FactTaken]:
    """Keep facts as a phone sends them, each in a transaction of its own, and say what became.

    facts: objects as `POST /api/facts` has them. One that was kept before is not kept twice and
    counts as kept; one that is refused says why, and the others go on.
    """
    sender = _Sender(person, phone, fact_actor(person), sent_at, now)
    taken = [_take(raw, sender) for raw in facts]
    replans_due(now=now)
    return taken


def fact_actor(person: User) -> Actor:
    """Return who says facts: a crew lead from the phone, others from the office."""
    on_site = scope_of(person).crew_id is not None
    return Actor.of_user(person, Event.Source.PHONE if on_site else Event.Source.OFFICE)


def fact_photo_keep(*, fact: Fact, picture: Picture, actor: Actor, now: datetime) -> FactPhoto:
    """Keep the picture of a photo fact; a second one is the first one come again.

    Raises FactRefused for a fact of another kind.
    """
    if fact.kind != Fact.Kind.PHOTO:
        raise FactRefused(_("That fact is not a photo."))
    with transaction.atomic():
        Crew.objects.select_for_update().get(pk=fact.crew_id)
        kept = FactPhoto.objects.filter(fact=fact).first()
        if kept is not None:
            return kept
        branch = fact.crew.branch
        photo: Photo = photo_keep(picture=picture, branch=branch, actor=actor, now=now)
        return FactPhoto.objects.create(fact=fact, photo=photo, received_at=now)


@dataclass(frozen=True)
class _Sender:
    """Who sends facts, from which phone, by which two clocks."""

    person: User
    phone: Phone | None
    actor: Actor
    sent_at: datetime
    now: datetime


def _take(raw: object, sender: _Sender) -> FactTaken:
    name = str(raw.get("id", ""))[:60] if isinstance(raw, dict) else ""
    try:
        said = fact_read(raw, sent_at=sender.sent_at, now=sender.now, step_kinds=STEP_KINDS)
        return FactTaken(str(said.id), _keep(said, sender))
    except (FactWrong, FactRefused) as wrong:
        return FactTaken(name, State.REFUSED, str(wrong))
    except IntegrityError:
        # The same id on its way twice, about two houses: whoever came first is kept.
        return FactTaken(name, State.REFUSED, _("That id belongs to another fact."))


@transaction.atomic
def _keep(said: FactReading, sender: _Sender) -> State:
    """Keep it; who holds the house (or, of a note, the crew) comes first, and who follows sees it.

    So what was kept before is asked for again under that hold.
    """
    if _is_kept(said.id, sender.person):
        return State.ALREADY
    crew, actor, now = _crew(sender.person, said), sender.actor, sender.now
    if said.job is None:
        Crew.objects.select_for_update().get(pk=crew.pk)
    else:
        _job_check(said, crew)
        job_locked(said.job)
    if _is_kept(said.id, sender.person):
        return State.ALREADY
    fact = _row(said, sender)
    fact.save(force_insert=True)
    what = {"kind": fact.kind, "job": fact.job_id, "day": fact.day.isoformat(), **fact.what}
    event_record(actor=actor, now=now, verb="said", thing=fact, branch=crew.branch, what=what)
    left_out = fact_follow(fact, actor=actor, now=now)
    if fact.kind == Fact.Kind.TURNED_AWAY:
        turned_away_take(fact=fact, actor=actor, now=now)
    if left_out:
        # Of the row that this transaction adds: nobody has seen it yet.
        fact.left_out = left_out[:300]
        QuerySet(Fact).filter(pk=fact.pk).update(left_out=fact.left_out)
    return State.KEPT


def _crew(person: User, said: FactReading) -> Crew:
    """Return the crew of the fact, if the person leads it or is of its office."""
    crew = Crew.objects.select_related("branch").filter(pk=said.crew).first()
    if crew is None or not may(person, Action.TELL_FACT) or not _reaches(scope_of(person), crew):
        raise FactRefused(_("crew: that crew is not yours."))
    return crew


def _reaches(scope: Scope, crew: Crew) -> bool:
    if scope.crew_id is not None:
        return scope.crew_id == crew.pk
    return scope.all_branches or crew.branch_id in scope.branch_ids


def _job_check(said: FactReading, crew: Crew) -> None:
    """Refuse a house that was on none of the days that this crew was told of.

    A week may have been posted anew while the phone had no signal, so what it was told before
    counts as well.
    """
    near = (said.day - NEAR, said.day + NEAR)
    told = Stop.objects.filter(
        job=said.job,
        crew_day__crew=crew,
        crew_day__date__range=near,
        crew_day__version__state__in=TOLD_TO_CREWS,
    )
    if not told.exists():
        raise FactRefused(_("job: that house is on none of this crew's days."))


def _is_kept(fact_id: UUID, person: User) -> bool:
    kept = Fact.objects.filter(pk=fact_id).first()
    if kept is not None and kept.person_id != person.pk:
        raise FactRefused(_("That id belongs to another fact."))
    return kept is not None


def _row(said: FactReading, sender: _Sender) -> Fact:
    person = sender.person
    return Fact(
        id=said.id,
        kind=said.kind,
        crew_id=said.crew,
        day=said.day,
        job_id=said.job,
        step_kind=said.step,
        condition=_condition(said),
        what=said.what if said.condition is None else {**said.what, "condition": said.condition},
        tapped_at=said.tapped_at,
        happened_at=said.happened_at,
        received_at=sender.now,
        person=person,
        who=(person.get_full_name() or person.username)[:120],
        phone=sender.phone,
        seen_version=said.seen_version,
    )


def _condition(said: FactReading) -> Condition | None:
    """Return the condition, while the house still has it."""
    if said.condition is None:
        return None
    return Condition.objects.filter(pk=said.condition, job=said.job).first()
