"""Enters what steps took by all reports of crews, whatever order they came in."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from contractor.events import Actor
from contractor.models import CrewMember, DayOff, Machine
from jobs.conditions.sentences import marked as _
from jobs.conditions.taken_over import WORKS
from jobs.estimates.branch_rates import BLOWN
from jobs.estimates.services.steps import step_recall
from jobs.estimating import loads_read
from jobs.models import Actual, Step
from jobs.models.actual import MOST_PEOPLE
from jobs.rates.actual_ratios import bags_in
from jobs.rates.services.actuals import actual_enter, actual_withdraw
from scheduling.facts.services.house import TOLD_TO_CREWS, HouseFacts, speaker
from scheduling.models import CrewDay, Fact
from scheduling.progress.day import CHECKED, FINISHED
from scheduling.progress.took import Took

NO_STEP = _("This house has no such step any more: the office sees to these figures.")
LEFT_AFTER_ALL = "Some of it is left after all."


def actuals_follow(fact: Fact, house: HouseFacts, *, now: datetime) -> str:
    """Enter, or withdraw, what steps took; return why not, '' where it was done.

    A step of work taken over is there only once that is said: its minutes may have come before.
    """
    if fact.kind == FINISHED:
        return _follow(house, fact.step_kind, now)
    if fact.kind == CHECKED:
        for kind in sorted(house.tooks.keys() & WORKS.keys()):
            _follow(house, kind, now)
    return ""


def has_step(house: HouseFacts, kind: str) -> bool:
    """Tell whether the house takes, or took, such a step; others' work only while it is charged."""
    if kind not in WORKS:
        return kind in house.steps
    charged = {
        charge.step_kind
        for row in house.conditions
        for charge in row.back_charges.all()
        if charge.struck_at is None
    }
    return kind in charged


def _follow(house: HouseFacts, kind: str, now: datetime) -> str:
    took, step = house.tooks[kind], house.steps.get(kind)
    if step is None and has_step(house, kind):
        step = step_recall(house.job, kind)
    if step is None:
        return ""
    held = step.actuals.first()
    if held is not None and not held.said and held.entered_at >= _heard_at(took, house):
        return _by_hand(held, house)
    if not took.is_whole or not has_step(house, kind):
        if held is not None and held.said:
            actual_withdraw(actual=held, reason=LEFT_AFTER_ALL, actor=_actor(took, house), now=now)
        return ""
    return _enter(house, step, took, now)


def _enter(house: HouseFacts, step: Step, took: Took, now: datetime) -> str:
    last, fact = took.last, house.by_id[took.last.fact]
    drawn = step.actuals.filter(said=True).first()
    values: dict[str, object] = {
        "crew": fact.crew,
        "machine": _machine(last.crew, last.day) if step.kind in BLOWN else None,
        "people": _people(last.crew, last.day),
        "minutes": took.minutes,
        "bags": took.bags if bags_in(loads_read(step.loads)) is not None else None,
        "worked_on": house.day_of(last.at),
    }
    newest = step.actuals.first()
    if drawn is not None and newest is not None and not newest.said and _is_same(drawn, values):
        return ""
    try:
        with transaction.atomic():
            actual_enter(
                step_id=step.pk,
                **values,  # type: ignore[arg-type]
                said=True,
                actor=_actor(took, house),
                now=now,
            )
    except ValidationError as wrong:
        return "; ".join(wrong.messages)
    return ""


def _is_same(actual: Actual, values: dict[str, object]) -> bool:
    return all(getattr(actual, name) == value for name, value in values.items())


def _actor(took: Took, house: HouseFacts) -> Actor:
    return speaker(house.by_id[took.last.fact])


def _heard_at(took: Took, house: HouseFacts) -> datetime:
    """Tell when the newest of these figures was said or set right."""
    facts = [house.by_id[report.fact] for report in took.reports]
    corrected = [c.corrected_at for fact in facts for c in fact.corrections.all()]
    return max([took.last.at, *corrected])


def _by_hand(held: Actual, house: HouseFacts) -> str:
    local = held.entered_at.astimezone(ZoneInfo(house.job.site.branch.time_zone))
    at = f"{local:%H:%M}".lstrip("0")
    return f"{held.who} entered what this step took by hand at {at} on {local:%Y-%m-%d}."


def _machine(crew: int, day: date) -> Machine | None:
    """Return the machine that the crew was told to take, by the plan as it stands or stood last."""
    days = CrewDay.objects.filter(crew=crew, date=day, version__state__in=TOLD_TO_CREWS)
    posted_first = days.order_by("version__state", "-version").prefetch_related("machines")
    crew_day = posted_first.first()
    return min(crew_day.machines.all(), key=lambda one: one.pk, default=None) if crew_day else None


def _people(crew: int, day: date) -> int:
    """Tell how many of the crew were there that day."""
    away = DayOff.objects.filter(
        Q(first_date__lte=day, last_date__gte=day), member__crew=crew
    ).values("member")
    there = CrewMember.objects.filter(crew=crew, active=True).exclude(pk__in=away).count()
    return min(max(there, 1), MOST_PEOPLE)
