"""Answers of the evening before: written down, and what they make of tomorrow's crew-days."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from contractor.events import Actor, event_record
from contractor.models import Branch
from jobs.readiness.services.call import CallAnswer, call_record
from scheduling.evening.queries import REPRICED, EveningDay, evening_confirmation
from scheduling.models import CrewDay


@dataclass(frozen=True)
class DayRepriced:
    """What an answer made of a crew-day: cents at risk and chance ready, before and after."""

    crew_day: CrewDay
    cents: tuple[int, int]
    chance: tuple[float, float]
    is_under_threshold: bool


@transaction.atomic
def evening_answer(
    *,
    superintendent_id: int | None,
    branch: Branch,
    answers: Sequence[CallAnswer],
    seen: int,
    actor: Actor,
    now: datetime,
) -> list[DayRepriced]:
    """Write down a call as `call_record` does, and price the yard's tomorrow before and after it.

    Returns the crew-days that the answers changed, each kept in an event. Raises as `call_record`
    does; then nothing is changed.
    """
    before = _by_id(branch, now)
    call_record(
        superintendent_id=superintendent_id,
        branch=branch,
        answers=answers,
        seen=seen,
        actor=actor,
        now=now,
    )
    changed = [
        _repriced(before[pk], after)
        for pk, after in _by_id(branch, now).items()
        if pk in before and _figures(before[pk]) != _figures(after)
    ]
    for one in changed:
        what = {"cents": list(one.cents), "chance": list(one.chance)}
        event_record(
            actor=actor, now=now, verb=REPRICED, thing=one.crew_day, branch=branch, what=what
        )
    return changed


def _by_id(branch: Branch, now: datetime) -> dict[int, EveningDay]:
    evening = evening_confirmation(branch=branch, now=now)
    return {one.crew_day.pk: one for one in evening.crew_days}


def _figures(day: EveningDay) -> tuple[int, float]:
    return day.at_risk_cents, round(day.chance, 4)


def _repriced(before: EveningDay, after: EveningDay) -> DayRepriced:
    (cents, chance), (cents_now, chance_now) = _figures(before), _figures(after)
    figures = ((cents, cents_now), (chance, chance_now))
    return DayRepriced(after.crew_day, *figures, after.is_under_threshold)
