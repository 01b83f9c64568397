"""What crews found on their visits, written down by the office."""

from collections.abc import Collection, Sequence
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from contractor.events import Actor, event_record
from jobs.catalogue.rows import job_condition, mover_of, terms_of
from jobs.conditions.calibration import IDENTITY
from jobs.conditions.readiness import JobCondition
from jobs.conditions.states import OWED, REPORTED_DONE, SEEN_DONE, Grounds, move_allowed
from jobs.conditions.words import HOLDING_GATES, US
from jobs.desk.services import job_locked
from jobs.localtime import local_date
from jobs.models import Condition, Finding, Job
from jobs.record.queries import forecasts_read
from jobs.record.services.shift import condition_shift

MOST_NOTE = 300
FOUND_UNTRUE = "the crew found it not done"


@transaction.atomic
def finding_record(
    *,
    job_id: int,
    day: date,
    step_kinds: Sequence[str],
    could_start: bool,
    missing: Collection[int] = (),
    note: str = "",
    actor: Actor,
    now: datetime,
) -> Finding:
    """Write down what a crew found at a house: whether it could start, and what was missing.

    missing: ids of conditions that were not true. A report among them goes back to owed. Where
    the crew could start, what was reported of a block counts as seen done; a stop or a law is
    left, for it needs its own paper. Raises ValidationError where the day is to come, a step is
    not the job's, a condition holds none of the steps, or nothing was missing though the crew
    could not start; MoveRefused where the actor may not.
    """
    job = job_locked(job_id)
    waiting = _waiting(job, step_kinds)
    finding = Finding(
        job=job,
        day=day,
        could_start=could_start,
        step_kinds=list(step_kinds),
        note=note.strip(),
        recorded_at=now,
        recorded_by=actor.user,
        who=actor.who[:120],
    )
    gone = [condition for condition in waiting if condition.pk in missing]
    _refuse_impossible(finding, gone, set(missing), local_date(job.site.branch, now))
    finding.missing = [condition.code for condition in gone]
    finding.stated = _stated(finding, waiting)
    # A command has no user.
    finding.full_clean(exclude={"recorded_by"})
    finding.save()
    _record(finding, actor, now)
    seen = could_start and [c for c in waiting if c.gate == Condition.Gate.BLOCK]
    for condition in seen or gone:
        if condition.state == REPORTED_DONE:
            _move(condition, could_start, actor, now)
    return finding


@transaction.atomic
def finding_say(
    *,
    job: Job,
    day: date,
    step_kinds: Sequence[str],
    could_start: bool,
    missing: Sequence[str] = (),
    note: str = "",
    before: Sequence[JobCondition] = (),
    actor: Actor,
    now: datetime,
) -> Finding:
    """Keep what a crew itself said of a visit, of a house that the caller holds; moves nothing.

    missing: codes; none where the crew only said why in words. before: the conditions as they
    stood that morning. What says the same as the last word of crews on that day is not kept again.
    """
    finding = Finding(
        job=job,
        day=day,
        could_start=could_start,
        step_kinds=list(step_kinds),
        missing=list(missing),
        note=note.strip()[:MOST_NOTE],
        said=True,
        recorded_at=now,
        recorded_by=actor.user,
        who=actor.who[:120],
    )
    held = job.findings.filter(day=day, said=True).order_by("pk").last()
    if held is not None and _told(held) == _told(finding):
        return held
    finding.stated = _chance(job, day, step_kinds, before)
    finding.full_clean(exclude={"recorded_by"})
    finding.save()
    _record(finding, actor, now)
    return finding


def _told(finding: Finding) -> tuple[object, ...]:
    return (finding.could_start, finding.step_kinds, finding.missing, finding.note, finding.who)


def _waiting(job: Job, step_kinds: Sequence[str]) -> list[Condition]:
    """Return the conditions that others owe and the steps wait for."""
    needed = job.conditions.filter(needed=True, gate__in=HOLDING_GATES).exclude(owed_by=US)
    rows = needed.select_related("job__site__branch", "job__site__builder").order_by("code")
    return [row for row in rows if set(row.holds) & set(step_kinds)]


def _refuse_impossible(
    finding: Finding, gone: Sequence[Condition], missing: Collection[int], today: date
) -> None:
    """Raise ValidationError where something cannot be."""
    if finding.day > today:
        raise ValidationError(
            _("%(day)s is still to come: expected a day up to %(today)s.")
            % {"day": finding.day, "today": today}
        )
    kinds = {step.kind for step in finding.job.steps.all() if step.needed}
    if not finding.step_kinds or set(finding.step_kinds) - kinds:
        raise ValidationError(
            _("Steps: expected at least one of %(kinds)s.") % {"kinds": ", ".join(sorted(kinds))}
        )
    if len(gone) != len(missing):
        raise ValidationError(_("What was missing: expected conditions that these steps wait for."))
    if finding.could_start and gone:
        raise ValidationError(_("The crew could start, so nothing can have been missing."))
    if not finding.could_start and not gone:
        raise ValidationError(_("The crew could not start: say what was missing."))


def _stated(finding: Finding, waiting: Sequence[Condition]) -> float:
    conditions = [job_condition(row) for row in waiting]
    return _chance(finding.job, finding.day, finding.step_kinds, conditions)


def _chance(
    job: Job, day: date, step_kinds: Sequence[str], conditions: Sequence[JobCondition]
) -> float:
    forecast = forecasts_read([job.site.branch], [day], calibration=IDENTITY).of(job)
    return min(forecast.step(kind, conditions, job.ready_date)[0] for kind in step_kinds)


def _move(condition: Condition, seen: bool, actor: Actor, now: datetime) -> None:
    to_state = SEEN_DONE if seen else OWED
    grounds = Grounds(reason="" if seen else FOUND_UNTRUE)
    today = local_date(condition.job.site.branch, now)
    terms = terms_of(condition)
    move_allowed(terms, condition.state, to_state, mover_of(actor), grounds, today=today)
    condition_shift(condition, to_state, grounds, actor=actor, now=now)


def _record(finding: Finding, actor: Actor, now: datetime) -> None:
    what = {
        "job": finding.job_id,
        "day": finding.day.isoformat(),
        "could_start": finding.could_start,
        "steps": finding.step_kinds,
        "missing": finding.missing,
        "note": finding.note,
    }
    branch = finding.job.site.branch
    event_record(actor=actor, now=now, verb="found", thing=finding, branch=branch, what=what)
