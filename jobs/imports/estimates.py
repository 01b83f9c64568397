"""Whether the estimator takes what a sheet says; writes nothing."""

from collections.abc import Iterator, Sequence

from contractor.models import Machine
from jobs.estimates.takeoff import FieldRefused, field_refused, takeoff_of, usual_machine
from jobs.estimating import TakeoffError, estimate_takeoff
from jobs.imports.plan import UNCHANGED, JobPlan, SpacePlan, as_words
from jobs.models import Job, Space
from jobs.sheets import Expected, SheetError
from jobs.sheets.errors import marked as _
from jobs.sheets.errors import quoted
from jobs.wording import sentence_text


def refusals(plan: JobPlan) -> Iterator[SheetError]:
    """Yield the estimator's refusals of a job that the sheet makes or changes.

    Spaces that the sheet does not name are asked too: they are estimated with the others.
    """
    if plan.state == UNCHANGED:
        return
    machine = usual_machine(plan.site.branch)
    planned = [(row, _as_planned(row)) for row in plan.spaces]
    others = _others(plan.job, plan.spaces)
    if _refusal([*(space for _row, space in planned), *others], machine) is None:
        return
    # One by one only now, since the estimator stops at the first thing that it refuses.
    for row, space in planned:
        refusal = _refusal([space], machine)
        if refusal:
            yield _error(row, refusal)
    for space in others:
        refusal = _refusal([space], machine)
        if refusal:
            yield _error_of_other(plan.spaces[0], space, refusal)


def _refusal(spaces: Sequence[Space], machine: Machine | None) -> FieldRefused | None:
    try:
        estimate_takeoff(takeoff_of(spaces, machine))
    except TakeoffError as error:
        return field_refused(error, spaces)
    return None


def _as_planned(row: SpacePlan) -> Space:
    """Return the space as it would be, not saved and not the row that stands."""
    fields = {f.attname: getattr(row.space, f.attname) for f in Space._meta.fields if row.space}
    space = Space(**fields)
    if row.space is not None and row.space.material is not None:
        space.material = row.space.material
    for name, value in row.values.items():
        setattr(space, name, value)
    space.name = row.name
    return space


def _others(job: Job | None, rows: Sequence[SpacePlan]) -> list[Space]:
    named = {row.name for row in rows}
    return [space for space in (job.spaces.all() if job else ()) if space.name not in named]


def _error(row: SpacePlan, refusal: FieldRefused) -> SheetError:
    column = "space" if refusal.field == "name" else refusal.field
    value = quoted(as_words(getattr(refusal.space, refusal.field, "")))
    return SheetError(
        row.row, column, value, Expected("%(reason)s", {"reason": sentence_text(refusal.sentence)})
    )


def _error_of_other(row: SpacePlan, space: Space, refusal: FieldRefused) -> SheetError:
    wanted = Expected(
        _("expected that all spaces of the job can be estimated; %(space)s cannot: %(reason)s"),
        {"space": space.name, "reason": sentence_text(refusal.sentence)},
    )
    return SheetError(row.row, "space", quoted(row.name), wanted)
