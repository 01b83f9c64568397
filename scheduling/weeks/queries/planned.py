"""On which days jobs stand on posted and drafted weeks; changes nothing, decides nothing."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from django.db.models import Exists, OuterRef, QuerySet

from contractor.workdays import IsoWeek
from jobs.models import Job
from jobs.whereabouts import PlannedDay
from scheduling.models import Part, WeekVersion

SHOWN = (WeekVersion.State.DRAFT, WeekVersion.State.POSTED)


def planned_days(jobs: "QuerySet[Job]") -> list[PlannedDay]:
    """Return every day on which a posted or drafted week holds a step of these jobs, by day.

    One statement, whatever the number of jobs.
    """
    return [_planned_day(columns) for columns in _parts(jobs)]


def posted_days(job_ids: Iterable[int]) -> dict[int, list[date]]:
    """Return each job's days, in order, on which a posted week sends a crew: what builders see."""
    found: dict[int, list[date]] = {}
    pairs = (
        Part.objects.filter(
            stop__job_id__in=list(job_ids),
            stop__crew_day__version__state=WeekVersion.State.POSTED,
        )
        .order_by("stop__crew_day__date")
        .values_list("stop__job_id", "stop__crew_day__date")
        .distinct()
    )
    for job_id, day in pairs:
        found.setdefault(job_id, []).append(day)
    return found


def _parts(jobs: "QuerySet[Job]") -> Iterable[tuple[Any, ...]]:
    """Read columns, not rows: a part's row would bring six others with it."""
    crew_day = "stop__crew_day"
    drafts = WeekVersion.objects.filter(
        week=OuterRef(f"{crew_day}__version__week"), state=WeekVersion.State.DRAFT
    )
    return (
        Part.objects.filter(stop__job__in=jobs, stop__crew_day__version__state__in=SHOWN)
        .annotate(has_draft=Exists(drafts))
        .order_by(f"{crew_day}__date", "step__position")
        .values_list(
            "stop__job_id",
            "step_id",
            "step__kind",
            f"{crew_day}__date",
            f"{crew_day}__crew__name",
            f"{crew_day}__version__week__iso_year",
            f"{crew_day}__version__week__iso_week",
            f"{crew_day}__version__state",
            "has_draft",
        )
    )


def _planned_day(columns: tuple[Any, ...]) -> PlannedDay:
    job_id, step_id, step_kind, day, crew, year, week, state, has_draft = columns
    posted = state == WeekVersion.State.POSTED
    label = str(IsoWeek(year, week))
    return PlannedDay(
        job_id, step_id, step_kind, day, crew, label, posted, being_changed=posted and has_draft
    )
