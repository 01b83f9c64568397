"""The shelf: open jobs with steps that no plan holds, grouped by what holds them up."""

from collections.abc import Iterable, Sequence
from collections.abc import Set as AbstractSet
from datetime import date

from django.utils.translation import gettext, gettext_lazy

from jobs.conditions.words import STEP_NAMES
from jobs.readiness.queries.outlook import JobOutlook
from scheduling.gather.cases import StepCase
from scheduling.gather.crews import minutes_for
from scheduling.gather.gathered import Ground
from scheduling.gather.holdups import Held, HoldUp, hold_up_of
from scheduling.gather.placed import Placement
from scheduling.weeks.queries.marks import readiness_marks
from scheduling.weeks.shapes import ShelfGroup, ShelfJob

TITLES = {
    HoldUp.BUILDER: gettext_lazy("Builder"),
    HoldUp.INSPECTION: gettext_lazy("Inspection"),
    HoldUp.OWNER: gettext_lazy("House owner"),
    HoldUp.NO_ROOM: gettext_lazy("No room"),
    HoldUp.NO_DATE: gettext_lazy("No date"),
    HoldUp.ESTIMATE: gettext_lazy("Estimate"),
    HoldUp.NO_CREW: gettext_lazy("No crew"),
}


def shelf_of(ground: Ground, shown: Sequence[Placement]) -> tuple[ShelfGroup, ...]:
    """Return the groups that hold any job, jobs by promised date; reads nothing more."""
    placed = {part.step_id for part in shown}
    people = ground.rows.costs.people_per_crew
    found: dict[HoldUp, list[ShelfJob]] = {}
    for case in ground.cases(_unplaced(ground.rows.outlooks, placed)):
        left = [entry for entry in case.steps if entry.outlook.step.pk not in placed]
        if left:
            held = hold_up_of(case, left[0], ground.calendar.days)
            found.setdefault(held.hold_up, []).append(_job(held, left, people))
    return tuple(
        ShelfGroup(hold_up, str(title), tuple(sorted(found[hold_up], key=_by_promise)))
        for hold_up, title in TITLES.items()
        if hold_up in found
    )


def _unplaced(outlooks: Iterable[JobOutlook], placed: AbstractSet[int]) -> Iterable[JobOutlook]:
    for outlook in outlooks:
        if any(entry.step.pk not in placed for entry in outlook.steps):
            yield outlook


def _by_promise(job: ShelfJob) -> tuple[date, str]:
    return job.promised_date or date.max, job.title


def _job(held: Held, left: Sequence[StepCase], people: int) -> ShelfJob:
    job = held.outlook.job
    kinds = {entry.step.kind for entry in left}
    ready = readiness_marks(
        job, held.outlook.conditions, kinds, is_closed=held.hold_up is HoldUp.ESTIMATE
    )
    return ShelfJob(
        job_id=job.pk,
        title=str(job),
        builder=job.site.builder.name,
        why=held.why,
        promised_date=job.promised_date,
        steps=tuple(_names(left)),
        minutes=sum(minutes_for(entry.outlook.step, people) for entry in left),
        line=ready.line,
        marks=ready.marks,
    )


def _names(left: Iterable[StepCase]) -> Iterable[str]:
    return (gettext(STEP_NAMES[entry.step.kind]) for entry in left)
