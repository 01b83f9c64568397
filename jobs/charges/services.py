"""Taking a condition over: our step, its estimate and a back-charge line; and undoing it."""

from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext

from contractor.events import Actor, event_record
from contractor.files.photos import Picture, photo_keep
from contractor.models import PlanCosts
from jobs.catalogue.rows import entry_of, mover_of, terms_of
from jobs.catalogue.services.needs import conditions_replace
from jobs.conditions.sentences import Sentence
from jobs.conditions.sentences import marked as _
from jobs.conditions.states import TAKEN_OVER, Grounds, MoveRefused, move_allowed
from jobs.conditions.taken_over import TakenWork, work_of
from jobs.conditions.words import US
from jobs.desk.services import job_locked
from jobs.estimates.branch_rates import branch_rates
from jobs.estimates.services.steps import steps_relag, steps_take
from jobs.estimates.taken_over import TakenEstimate, taken_estimate
from jobs.estimating import figures_file, loads_file
from jobs.estimating.taken_over import MeasureError, Taken, charge_cents
from jobs.localtime import local_date
from jobs.models import BackCharge, Condition, Job
from jobs.plan_ports import planned_days
from jobs.record.services.shift import CrewReport, condition_at, condition_shift
from jobs.wording import sentence_text


@transaction.atomic
def condition_take_over(
    *,
    condition_id: int,
    version: int,
    taken: Taken,
    agreed_by: str,
    actor: Actor,
    now: datetime,
    note: str = "",
    inspect_again: bool = False,
    picture: Picture | None = None,
    report: CrewReport | None = None,
) -> BackCharge:
    """Make a condition that others owe a step of ours, ahead of what it held up, and charge it.

    taken: how much of it there is, by the measure of its entry in the catalogue. agreed_by: who
    of the builder's side agreed. report: where a crew said so on its phone, maybe hours before. The
    rate is the branch's for an hour of one person. Raises Stale
    where somebody was quicker, MoveRefused where this is not work that we may take over or the
    person may not, ValidationError where a measure or who agreed is wanting.
    """
    condition = condition_at(condition_id, version)
    job = job_locked(condition.job_id)
    grounds = Grounds(reason=f"{agreed_by.strip()}: {note.strip()}" if note else agreed_by.strip())
    _check(condition, grounds, actor=actor, now=now)
    work = _work(condition, taken, agreed_by)
    estimate = _estimate(job, taken, now)
    branch, taken_at = job.site.branch, (report and report.at) or now
    photo = photo_keep(picture=picture, branch=branch, actor=actor, now=now) if picture else None
    rate = _cents_per_hour(job)
    charge = BackCharge(
        condition=condition,
        job=job,
        builder=job.site.builder,
        step_kind=work.kind,
        measure=taken.measure,
        amount=taken.amount,
        flues=taken.flues,
        length_ft=taken.length_ft,
        crew_minutes=estimate.crew_minutes.kept(),
        person_minutes=estimate.person_minutes,
        loads=loads_file(estimate.loads),
        figures=figures_file(estimate.figures),
        cents_per_hour=rate,
        cents=charge_cents(estimate.person_minutes, rate),
        agreed_by=agreed_by.strip(),
        note=note.strip(),
        inspect_again=inspect_again,
        photo=photo,
        taken_by=actor.who[:120],
        taken_at=taken_at,
        taken_on=local_date(branch, taken_at),
    )
    charge.full_clean()
    charge.save()
    if report:
        report.kept["charge"] = charge.pk
    condition_shift(condition, TAKEN_OVER, grounds, actor=actor, now=now, report=report)
    event_record(
        actor=actor, now=now, verb="charged", thing=charge, branch=branch, what=_what(charge)
    )
    taken_steps(job)
    return charge


def taken_steps(job: Job) -> None:
    """Make the job's steps of work taken over what its charges say, and what waits for what."""
    steps_take(job)
    spaces = list(job.spaces.all())
    conditions_replace(job, spaces)
    steps_relag(job, spaces)


def charge_strike(condition: Condition, *, reason: str, actor: Actor, now: datetime) -> None:
    """Strike the charge of a condition that is ours no more, in the caller's transaction.

    Its step goes with it. Raises MoveRefused where our work has begun.
    """
    charge = condition.back_charges.active().order_by("-pk").first()
    if charge is None:
        return
    job = job_locked(condition.job_id)
    _not_begun(job, charge.step_kind, now)
    charge_drop(charge, job, reason=reason, actor=actor, now=now)


def charge_drop(charge: BackCharge, job: Job, *, reason: str, actor: Actor, now: datetime) -> None:
    """Strike a charge of a house that is held, whatever was done; the caller knows it is right."""
    charge.struck_by, charge.struck_at, charge.struck_reason = actor.who[:120], now, reason.strip()
    charge.full_clean()
    charge.save(update_fields=["struck_by", "struck_at", "struck_reason"])
    code = charge.condition.code
    what = {"job": job.pk, "code": code, "cents": [charge.cents, 0], "reason": reason}
    event_record(
        actor=actor, now=now, verb="struck", thing=charge, branch=job.site.branch, what=what
    )


def _check(condition: Condition, grounds: Grounds, *, actor: Actor, now: datetime) -> None:
    """Raise MoveRefused unless this person may take this over, and there is anything to take."""
    today = local_date(condition.job.site.branch, now)
    terms, mover = terms_of(condition), mover_of(actor)
    move_allowed(terms, condition.state, TAKEN_OVER, mover, grounds, today=today)
    if condition.owed_by == US:
        raise MoveRefused(Sentence(_("It is ours already: our own step brings it about.")))
    if not condition.needed or not condition.holds:
        raise MoveRefused(Sentence(_("No step of this job waits for it any more.")))
    if condition.job.state != Job.State.OPEN:
        raise MoveRefused(Sentence(_("This job is not open any more.")))


def _work(condition: Condition, taken: Taken, agreed_by: str) -> TakenWork:
    entry = entry_of(condition)
    measure = entry.measure if entry else ""
    work = work_of(measure, condition.holds)
    if work is None:
        words = _("The catalogue does not say by what this work is counted.")
        raise MoveRefused(Sentence(words))
    if taken.measure != measure:
        raise ValidationError({"measure": gettext("expected %(measure)s") % {"measure": measure}})
    if not agreed_by.strip():
        raise ValidationError({"agreed_by": gettext("Say who agreed that we do it.")})
    return work


def _estimate(job: Job, taken: Taken, now: datetime) -> TakenEstimate:
    rates = branch_rates(job.site.branch, local_date(job.site.branch, now))
    try:
        return taken_estimate(taken, rates)
    except MeasureError as error:
        raise ValidationError({error.field: sentence_text(error.expected)}) from error


def _cents_per_hour(job: Job) -> int:
    costs = PlanCosts.objects.filter(branch=job.site.branch).first() or PlanCosts()
    return int(costs.labour_cents_per_hour)


def _not_begun(job: Job, kind: str, now: datetime) -> None:
    """Raise MoveRefused where a crew has worked on the step, or is posted to by today."""
    step = job.steps.filter(kind=kind).first()
    if step is None:
        return
    today = local_date(job.site.branch, now)
    days = planned_days(Job.objects.filter(pk=job.pk))
    posted = any(day.step_id == step.pk and day.posted and day.day <= today for day in days)
    if posted or step.actuals.exists():
        words = _("Our work on it has begun, so the charge stands: say seen done when it is.")
        raise MoveRefused(Sentence(words))


def _what(charge: BackCharge) -> dict[str, Any]:
    return {
        "job": charge.job_id,
        "code": charge.condition.code,
        "step": charge.step_kind,
        "measure": charge.measure,
        "amount": format(charge.amount.normalize(), "f"),
        "flues": charge.flues,
        "person_minutes": charge.person_minutes,
        "cents_per_hour": charge.cents_per_hour,
        "cents": charge.cents,
        "agreed_by": charge.agreed_by,
        "inspect_again": charge.inspect_again,
    }
