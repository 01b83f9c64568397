"""Services about one job's own list: a condition added or struck by hand, with a reason."""

from datetime import datetime

from django.db import transaction

from contractor.access import Action, may
from contractor.events import Actor, event_record
from jobs.catalogue.services.needs import HOLDS_NOTHING, by_hand_fields, conditions_replace
from jobs.conditions.entry_json import entry_as_json
from jobs.conditions.guard import GUARDED_GATES
from jobs.conditions.sentences import Sentence
from jobs.conditions.sentences import marked as _
from jobs.conditions.states import MoveRefused
from jobs.desk.services import Stale, job_locked
from jobs.estimates.services.steps import steps_relag
from jobs.models import CatalogueItem, Condition, Job

MOST_REASON = 300


@transaction.atomic
def condition_add(
    *, job_id: int, item_id: int, reason: str, actor: Actor, now: datetime
) -> Condition:
    """Add a condition of the catalogue to one job that its spaces do not ask for.

    It takes the entry as it is now. Raises MoveRefused where the reason is wanting, the job has
    it, or none of the job's steps waits for it; CatalogueItem.DoesNotExist where it is retired.
    """
    job = job_locked(job_id)
    entry = CatalogueItem.objects.active().get(pk=item_id).entry
    row = job.conditions.filter(code=entry.code).first() or Condition(job=job, code=entry.code)
    words = {"name": entry.name}
    _refuse_unless_allowed(actor)
    if row.needed and row.pk is not None:
        raise MoveRefused(Sentence(_("This job has it already: %(name)s."), words))
    row.entry, row.name, row.owed_by, row.gate = (
        entry_as_json(entry),
        entry.name,
        entry.owed_by,
        entry.gate,
    )
    row.by_hand, row.by_hand_reason = Condition.ByHand.ADDED, _reason(reason)
    fields = by_hand_fields(row, _steps(job))
    if not fields["needed"]:
        raise MoveRefused(Sentence(_("No step of this job waits for it: %(name)s."), words))
    row.holds, row.needed, row.version = fields["holds"], True, row.version + bool(row.pk)
    row.full_clean()
    row.save()
    _record(row, "added", actor, now)
    return row


@transaction.atomic
def condition_strike(
    *, condition_id: int, version: int, reason: str, actor: Actor, now: datetime
) -> Condition:
    """Strike a condition from one job, so that it holds nothing there any more.

    A stop or a law is never struck, by anyone. Raises Stale where somebody was quicker,
    MoveRefused.
    """
    row = _at(condition_id, version)
    _refuse_unless_allowed(actor)
    if row.gate in GUARDED_GATES:
        sentence = _("A stop or a law cannot be struck from a job by anyone: %(name)s.")
        raise MoveRefused(Sentence(sentence, {"name": row.name}))
    if not row.needed:
        raise MoveRefused(Sentence(_("It holds nothing any more: %(name)s."), {"name": row.name}))
    struck = {"by_hand": Condition.ByHand.STRUCK, "by_hand_reason": _reason(reason)}
    _write(row, HOLDS_NOTHING | struck)
    steps_relag(row.job, list(row.job.spaces.all()))
    _record(row, "struck", actor, now)
    return row


@transaction.atomic
def condition_unstrike(
    *, condition_id: int, version: int, actor: Actor, now: datetime
) -> Condition:
    """Bring back a condition that was struck, as far as the job's spaces ask for it.

    Raises Stale where somebody was quicker, MoveRefused where it is not struck.
    """
    row = _at(condition_id, version)
    _refuse_unless_allowed(actor)
    if row.by_hand != Condition.ByHand.STRUCK:
        raise MoveRefused(Sentence(_("It is not struck: %(name)s."), {"name": row.name}))
    _write(row, {"by_hand": "", "by_hand_reason": ""})
    spaces = list(row.job.spaces.all())
    _record(row, "brought back", actor, now)
    # As an estimate does it: what the spaces do not ask for goes, unless somebody moved it.
    conditions_replace(row.job, spaces)
    steps_relag(row.job, spaces)
    return Condition.objects.filter(pk=row.pk).first() or row


def _at(condition_id: int, version: int) -> Condition:
    """Return the condition, its job held against estimates; raises Stale unless at this version."""
    rows = Condition.objects.select_related("job__site__branch")
    job_locked(rows.get(pk=condition_id).job_id)
    row = rows.get(pk=condition_id)
    if row.version != version:
        raise Stale(row)
    return row


def _write(row: Condition, fields: dict[str, object]) -> None:
    """Write where the version is still the one that was read; else Stale with what is there."""
    values = fields | {"version": row.version + 1}
    if not Condition.objects.filter(pk=row.pk, version=row.version).update(**values):
        raise Stale(Condition.objects.select_related("job__site__branch").get(pk=row.pk))
    for name, value in values.items():
        setattr(row, name, value)


def _refuse_unless_allowed(actor: Actor) -> None:
    if actor.user is not None and not may(actor.user, Action.EDIT_JOB):
        raise MoveRefused(Sentence(_("It is not yours to add or strike conditions.")))


def _reason(reason: str) -> str:
    if not reason.strip():
        raise MoveRefused(Sentence(_("Say why it is added or struck.")))
    if len(reason.strip()) > MOST_REASON:
        words = {"most": MOST_REASON}
        raise MoveRefused(Sentence(_("Say why in at most %(most)d characters."), words))
    return reason.strip()


def _steps(job: Job) -> list[str]:
    return [step.kind for step in job.steps.all() if step.needed]


def _record(row: Condition, verb: str, actor: Actor, now: datetime) -> None:
    what = {
        "job": row.job_id,
        "code": row.code,
        "condition": row.name,
        "reason": row.by_hand_reason,
    }
    event_record(actor=actor, now=now, verb=verb, thing=row, branch=row.job.site.branch, what=what)
