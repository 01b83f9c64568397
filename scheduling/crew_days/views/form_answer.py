"""One fact posted by a plain form of the crew-day page: read, kept, with its photo."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar
from uuid import NAMESPACE_OID, uuid5

from django.http import Http404, HttpRequest, QueryDict

from contractor.files.photos import Picture
from contractor.models import User
from jobs.catalogue.rows import entry_of
from jobs.conditions.states import STOP
from jobs.desk.who import person
from jobs.models import Condition
from scheduling.crew_days.queries.days import DayStatus
from scheduling.facts.forms.fact import AskedOnForm, typed_read
from scheduling.facts.services.facts import (
    FactRefused,
    State,
    fact_actor,
    fact_photo_keep,
    facts_take,
)
from scheduling.models import Fact
from scheduling.progress.day import CHECKED, FINISHED, KINDS, NOTE, PHOTO, STARTED
from scheduling.weeks.shapes import CrewStop

T = TypeVar("T")


@dataclass(frozen=True)
class FormAnswer:
    """What a form is about: all of it of this day, else it is not there."""

    id: str
    kind: str
    stop: CrewStop | None
    step: str
    condition: int | None
    seen_version: int | None
    row: Condition | None = None

    @property
    def job(self) -> int | None:
        """The house."""
        return self.stop.job.pk if self.stop else None


def form_answer(data: QueryDict, day: DayStatus) -> FormAnswer:
    """Read what a posted form is about. Raises Http404 for what is not of this day."""
    kind = data.get("kind", "")
    stop = _named(data, "job", {str(stop.job.pk): stop for stop in day.page.stops})
    if kind not in KINDS or (stop is None and kind not in (NOTE, PHOTO)):
        raise Http404
    rows = {str(row.pk): row for row in stop.conditions} if stop else {}
    kinds = {part.kind: part.kind for part in stop.parts} if stop else {}
    row = _named(data, "condition", rows) if kind == CHECKED else None
    step = _named(data, "step", kinds) if kind in (STARTED, FINISHED) else ""
    if (kind == CHECKED and row is None) or step is None:
        raise Http404
    version = data.get("seen_version", "")
    return FormAnswer(
        id=data.get("id", ""),
        kind=kind,
        stop=stop,
        step=step,
        condition=row.pk if row else None,
        seen_version=int(version) if version.isascii() and version[:18].isdigit() else None,
        row=row,
    )


def _named(data: QueryDict, name: str, known: dict[str, T]) -> T | None:
    """Return the thing of that id; None where none is named. Raises Http404 for one elsewhere."""
    named = data.get(name, "")
    if named and named not in known:
        raise Http404
    return known.get(named)


def fact_say(request: HttpRequest, said: FormAnswer, day: DayStatus, now: datetime) -> str:
    """Keep what was said, with its photo; return '' or why it changed nothing beyond that.

    Raises FormWrong for what was typed, FactRefused where it is not taken.
    """
    user = person(request)
    conditions = [row.pk for row in said.stop.conditions] if said.stop else []
    typed = typed_read(
        said.kind, request.POST, request.FILES, asked=_asked(said), conditions=conditions
    )
    facts = [_raw(said, day, now, typed.what)]
    if typed.picture and said.kind != PHOTO:
        facts.append(_picture_of(facts[0]))
    taken = facts_take(
        person=user,
        phone=getattr(request, "phone", None),
        facts=facts,
        sent_at=now,
        now=now,
    )
    for one in taken:
        if one.state == State.REFUSED:
            raise FactRefused(one.why)
    if typed.picture:
        _picture_keep(taken[-1].id, typed.picture, user, now)
    return Fact.objects.get(pk=taken[0].id).left_out


def _asked(said: FormAnswer) -> AskedOnForm:
    """Return what the catalogue asks for about the condition at hand."""
    entry = entry_of(said.row) if said.row else None
    if entry is None or said.row is None:
        return AskedOnForm()
    return AskedOnForm(entry.measure, needs_paper=bool(entry.document) and said.row.gate == STOP)


def _raw(said: FormAnswer, day: DayStatus, now: datetime, what: dict[str, Any]) -> dict[str, Any]:
    """Return the fact as a phone would send it."""
    return {
        "id": said.id,
        "kind": said.kind,
        "crew": day.page.crew.pk,
        "day": day.page.date.isoformat(),
        "job": said.job,
        "step": said.step,
        "condition": said.condition,
        "at": now.isoformat(),
        "seen_version": said.seen_version,
        "what": what,
    }


def _picture_of(fact: dict[str, Any]) -> dict[str, Any]:
    """Return the photo fact of a picture that came with another fact."""
    what = {"about": fact["id"], "caption": ""}
    # The same id for the same form sent twice, so that its picture is not kept twice either.
    own_id = str(uuid5(NAMESPACE_OID, f"{fact['id']} photo"))
    return {**fact, "id": own_id, "kind": PHOTO, "condition": None, "what": what}


def _picture_keep(fact_id: str, picture: Picture, user: User, now: datetime) -> None:
    fact = Fact.objects.get(pk=fact_id)
    actor = fact_actor(user)
    fact_photo_keep(fact=fact, picture=picture, actor=actor, now=now)
