"""Services about what steps really took: entered by the office, corrected by a further row."""

from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext

from contractor.events import Actor, event_record
from contractor.models import Crew, Machine
from jobs.desk.services import job_locked
from jobs.estimates.branch_rates import BLOWN
from jobs.estimating import loads_read
from jobs.localtime import local_date
from jobs.models import Actual, Step
from jobs.rates.actual_ratios import bags_in
from jobs.wording import day_text

_KEPT = (
    "step",
    "crew",
    "machine",
    "people",
    "minutes",
    "bags",
    "worked_on",
    "estimated_minutes",
    "estimated_bags",
)


@transaction.atomic
def actual_enter(
    *,
    step_id: int,
    crew: Crew,
    machine: Machine | None,
    people: int,
    minutes: int,
    bags: int | None,
    worked_on: date,
    note: str = "",
    said: bool = False,
    actor: Actor,
    now: datetime,
) -> Actual:
    """Enter what a whole step took; the newest entry of a step holds, the older ones are kept.

    minutes: of the crew on site, all days of the step together. said: it is drawn from what crews
    said, not entered by hand. What says the same as the entry
    that holds is not entered again. Raises ValidationError, by field; Step.DoesNotExist.
    """
    step = Step.objects.get(pk=step_id)
    job = job_locked(step.job_id)
    actual = Actual(
        step=step,
        crew=crew,
        machine=machine if step.kind in BLOWN else None,
        people=people,
        minutes=minutes,
        bags=bags,
        worked_on=worked_on,
        note=note.strip(),
        said=said,
        estimated_minutes=estimated_minutes(step, people),
        estimated_bags=bags_in(loads_read(step.loads)),
        entered_at=now,
        entered_by=actor.user,
        who=actor.who[:120],
    )
    _check(actual, local_date(job.site.branch, now))
    before = step.actuals.first()
    if before is not None and _is_said_again(before, actual):
        return before
    actual.save()
    event_record(
        actor=actor,
        now=now,
        verb="entered" if before is None else "corrected",
        thing=actual,
        branch=job.site.branch,
        what={
            "job": job.pk,
            "step": step.kind,
            "crew": crew.name,
            "minutes": [before and before.minutes, minutes],
            "bags": [before and before.bags, bags],
            "estimated_minutes": actual.estimated_minutes,
        },
    )
    return actual


@transaction.atomic
def actual_withdraw(*, actual: Actual, reason: str, actor: Actor, now: datetime) -> Actual:
    """Say by a further row that a step is not finished after all; the figures are kept in it.

    Where that is said already, nothing changes.
    """
    job = job_locked(actual.step.job_id)
    held = actual.step.actuals.first()
    if held is None or held.withdrawn:
        return held or actual
    kept = {name: getattr(held, name) for name in _KEPT}
    row = Actual(
        **kept,
        note=reason.strip()[:200],
        said=held.said,
        withdrawn=True,
        entered_at=now,
        entered_by=actor.user,
        who=actor.who[:120],
    )
    row.save()
    what = {"job": job.pk, "step": row.step.kind, "minutes": [held.minutes, None], "why": row.note}
    branch = job.site.branch
    event_record(actor=actor, now=now, verb="withdrawn", thing=row, branch=branch, what=what)
    return row


def estimated_minutes(step: Step, people: int) -> int:
    """Return what the step says for so many people, from the nearest row of its table not above."""
    return step.minutes_by_people.at(people)


def _check(actual: Actual, today: date) -> None:
    wrong: dict[str, str] = {}
    branch_id = actual.step.job.site.branch_id
    if actual.crew.branch_id != branch_id:
        wrong["crew"] = gettext("Expected a crew of the yard that the job belongs to.")
    if actual.machine is not None and actual.machine.branch_id != branch_id:
        wrong["machine"] = gettext("Expected a machine of the yard that the job belongs to.")
    if actual.worked_on > today:
        words = gettext("%(day)s is still to come; expected today (%(today)s) or earlier.")
        wrong["worked_on"] = words % {
            "day": day_text(actual.worked_on),
            "today": day_text(today),
        }
    if actual.bags is not None and actual.estimated_bags is None:
        wrong["bags"] = gettext("Expected it empty: this step takes no bags.")
    if wrong:
        raise ValidationError(wrong)
    actual.full_clean()


def _is_said_again(before: Actual, actual: Actual) -> bool:
    """Tell whether it says nothing new; of what crews said, whose word it is counts as well."""
    whose = not actual.said or (before.said and before.who == actual.who)
    return whose and not before.withdrawn and _facts(before) == _facts(actual)


def _facts(actual: Actual) -> tuple[object, ...]:
    return (
        actual.crew_id,
        actual.machine_id,
        actual.people,
        actual.minutes,
        actual.bags,
        actual.worked_on,
        actual.note,
    )
