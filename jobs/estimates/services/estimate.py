"""Services about estimates: a job's spaces become steps, warnings and conditions."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext

from contractor.events import Actor, event_record
from jobs.catalogue.services.needs import conditions_replace
from jobs.desk.services import job_locked
from jobs.estimates import outcome
from jobs.estimates.branch_rates import BranchRates, branch_rates
from jobs.estimates.services.steps import steps_relag, steps_replace
from jobs.estimates.takeoff import MATERIAL_ROWS, takeoff_of, usual_machine
from jobs.estimating import Estimate, estimate_takeoff, kept_file
from jobs.localtime import local_date
from jobs.models import EstimateWarning, Job, Space

Changes = dict[str, Any]


@transaction.atomic
def job_estimate(*, job_id: int, actor: Actor, now: datetime) -> Job:
    """Estimate a job anew: its spaces' estimates, steps, warnings and conditions.

    A step whose kind stays keeps its row, and so does one that a week still holds; an answered
    warning keeps its answer while it says the same; conditions keep their states. Where nothing
    comes out otherwise nothing is written, no event either. Raises TakeoffError.
    """
    return estimate_locked(job_locked(job_id), actor=actor, now=now)


def estimate_locked(
    job: Job, *, actor: Actor, now: datetime, rates: BranchRates | None = None
) -> Job:
    """Do the same for a job that the running transaction holds already.

    rates: the branch's, where the caller has read them already.
    """
    estimate_changes(job, actor=actor, now=now, rates=rates)
    return job


def estimate_changes(
    job: Job, *, actor: Actor, now: datetime, rates: BranchRates | None = None
) -> Changes:
    """Do the same; return what came out otherwise than before, as the event keeps it."""
    branch = job.site.branch
    spaces = list(job.spaces.select_related("material").prefetch_related(*MATERIAL_ROWS))
    rates = rates or branch_rates(branch, local_date(branch, now))
    estimate = estimate_takeoff(takeoff_of(spaces, usual_machine(branch), rates))
    changes: Changes = {}
    _note(changes, "spaces", _estimates_keep(spaces, estimate))
    _note(changes, "setup_person_minutes", _setup_keep(job, estimate))
    _note(changes, "warnings", _warnings_replace(spaces, estimate))
    _note(changes, "steps", steps_replace(job, outcome.job_steps(estimate)))
    _note(changes, "conditions", conditions_replace(job, spaces))
    _note(changes, "lags", steps_relag(job, spaces))
    if changes:
        event_record(
            actor=actor,
            now=now,
            verb="estimated",
            thing=job,
            branch=branch,
            what=changes,
        )
    return changes


def _note(changes: Changes, name: str, found: object) -> None:
    if found:
        changes[name] = found


def _estimates_keep(spaces: Sequence[Space], estimate: Estimate) -> list[str]:
    changed = []
    for index, space in enumerate(spaces):
        kept = kept_file(estimate, index)
        if space.estimate != kept:
            space.estimate = kept
            changed.append(space)
    Space.objects.bulk_update(changed, ["estimate"])
    return [space.name for space in changed]


def _setup_keep(job: Job, estimate: Estimate) -> list[int]:
    before, after = job.setup_person_minutes, outcome.setup_person_minutes(estimate)
    if before == after:
        return []
    job.setup_person_minutes = after
    job.save(update_fields=["setup_person_minutes"])
    return [before, after]


def _warnings_replace(spaces: Sequence[Space], estimate: Estimate) -> dict[str, list[str]]:
    """Make the warnings those of the estimate; name, by space, the codes that changed."""
    standing: dict[int, dict[str, EstimateWarning]] = {space.pk: {} for space in spaces}
    for row in EstimateWarning.objects.filter(space__in=spaces):
        standing[row.space_id][row.code] = row
    changes: dict[str, list[str]] = {}
    for index, space in enumerate(spaces):
        warned = outcome.space_warnings(estimate.spaces[index])
        _note(changes, space.name, _space_warnings(space, standing[space.pk], warned))
    return changes


def _space_warnings(
    space: Space, standing: dict[str, EstimateWarning], warned: Sequence[outcome.Warned]
) -> list[str]:
    codes = {warning.code for warning in warned}
    changed = [code for code in standing if code not in codes]
    EstimateWarning.objects.filter(space=space, code__in=changed).delete()
    for warning in warned:
        row = standing.get(warning.code)
        if row is None or not _says_the_same(row, warning):
            _warning_write(row or EstimateWarning(space=space, code=warning.code), warning)
            changed.append(warning.code)
    return changed


def _says_the_same(row: EstimateWarning, warning: outcome.Warned) -> bool:
    return (row.text, row.source, row.holds, row.step_kinds) == (
        warning.text,
        warning.source,
        warning.holds,
        list(warning.step_kinds),
    )


def _warning_write(row: EstimateWarning, warning: outcome.Warned) -> None:
    """Write other words to the row; what somebody answered was about its old ones, so that goes."""
    row.text, row.source = warning.text, warning.source
    row.holds, row.step_kinds = warning.holds, list(warning.step_kinds)
    row.answer, row.answered_by, row.answered_at = "", None, None
    row.save()


@transaction.atomic
def warning_answer(*, warning_id: int, answer: str, actor: Actor, now: datetime) -> EstimateWarning:
    """Answer for a warning, so that it no longer holds its steps.

    Raises ValidationError where the answer says nothing, is too long or nobody in particular
    gives it.
    """
    warning = (
        EstimateWarning.objects.select_for_update(of=("self",))
        .select_related("space__job__site__branch")
        .get(pk=warning_id)
    )
    if not answer.strip() or actor.user is None:
        raise ValidationError({"answer": gettext("Expected a person's words why it is all right.")})
    warning.answer, warning.answered_by, warning.answered_at = answer.strip(), actor.user, now
    warning.full_clean()
    warning.save()
    event_record(
        actor=actor,
        now=now,
        verb="answered",
        thing=warning,
        branch=warning.space.job.site.branch,
        what={"job": warning.space.job_id, "code": warning.code, "answer": warning.answer},
    )
    return warning
