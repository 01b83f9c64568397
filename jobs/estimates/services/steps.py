"""Writes the steps of a job as its estimate gives them; called in the caller's transaction."""

from collections.abc import Sequence
from typing import Any

from django.db.models import ProtectedError

from jobs.catalogue.queries import entries_of_job
from jobs.catalogue.traits import facts_of, slope_covers
from jobs.conditions.needed import step_lags
from jobs.conditions.taken_over import WORKS
from jobs.desk.services import set_fields
from jobs.estimates.outcome import ORDER, StepFigures
from jobs.estimates.taken_over import figures_of
from jobs.estimating import loads_file
from jobs.models import Condition, Job, Space, Step

STRUCK = Condition.ByHand.STRUCK
SETTLED = (Condition.State.SEEN_DONE, Condition.State.WAIVED)
Changes = dict[str, Any]


def steps_replace(job: Job, figures: Sequence[StepFigures]) -> Changes:
    """Make the job's steps those of its estimate and of work taken over; return what changed.

    A step whose kind stays keeps its row, since weeks refer to it. One that is gone is deleted,
    unless a week still holds a part of it: then it stays and is marked as not needed.
    """
    standing = {step.kind: step for step in job.steps.all()}
    return _steps_write(job, standing, [*figures, *taken_figures(job)])


def steps_take(job: Job) -> Changes:
    """Make the job's steps of work taken over those of its charges; the others stand."""
    standing = {step.kind: step for step in job.steps.all() if step.kind in WORKS}
    return _steps_write(job, standing, taken_figures(job))


def taken_figures(job: Job) -> list[StepFigures]:
    """Return steps of work taken over and not seen done yet; once done it is no step any more."""
    charges = job.back_charges.active().filter(condition__state=Condition.State.TAKEN_OVER)
    return figures_of(charges.order_by("pk"))


def step_recall(job: Job, kind: str) -> Step | None:
    """Bring back a step of work taken over that is done already: what it took is heard of late.

    It is not needed any more, and stays for its figures. None where no charge stands for it.
    """
    figures = figures_of(job.back_charges.active().filter(step_kind=kind).order_by("pk"))
    if not figures:
        return None
    step = _new_step(job, kind)
    set_fields(step, _fields(figures[0]) | {"needed": False})
    step.save()
    return step


def _steps_write(job: Job, standing: dict[str, Step], figures: Sequence[StepFigures]) -> Changes:
    changes: Changes = {}
    for figure in figures:
        step = standing.pop(figure.kind, None) or _new_step(job, figure.kind)
        changed = set_fields(step, _fields(figure))
        if changed:
            step.save()
            changes[figure.kind] = changed.get("person_minutes", list(changed))
    for step in standing.values():
        if _step_drop(step):
            changes[step.kind] = [step.person_minutes, 0]
    return changes


def _new_step(job: Job, kind: str) -> Step:
    # The place follows from the kind alone, so that no two steps ever swap places.
    return Step(job=job, kind=kind, position=ORDER.index(kind) + 1, person_minutes=0)


def _fields(figure: StepFigures) -> Changes:
    return {
        "crew_minutes": figure.crew_minutes.kept(),
        "person_minutes": figure.person_minutes,
        "machine_kind": figure.machine_kind,
        "loads": loads_file(figure.loads),
        "needed": True,
    }


def _step_drop(step: Step) -> bool:
    """Delete a step; True where anything changed."""
    try:
        step.delete()
    except ProtectedError:
        was_needed = step.needed
        step.needed = False
        step.save(update_fields=["needed"])
        return was_needed
    return True


def steps_relag(job: Job, spaces: Sequence[Space]) -> Changes:
    """Set before each step the working days that others need after our step before it."""
    steps = [step for step in job.steps.all() if step.needed]
    conditions = list(job.conditions.all())
    done = [row.code for row in conditions if row.state in SETTLED or row.by_hand == STRUCK]
    lags = step_lags(
        [step.kind for step in steps],
        job.is_new_house,
        slope_covers(spaces),
        facts=facts_of(spaces),
        done=done,
        catalogue=entries_of_job(conditions),
    )
    changes: Changes = {}
    for step in steps:
        lag = lags.get(step.kind)
        reason = "; ".join(str(reason) for reason in lag.reasons)[:200] if lag else ""
        changed = set_fields(step, {"lag_days": lag.lag_days if lag else 0, "lag_reason": reason})
        if changed:
            step.save(update_fields=list(changed))
            changes[step.kind] = changed.get("lag_days", list(changed))
    return changes
