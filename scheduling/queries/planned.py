"""On which days jobs stand on posted and drafted weeks; changes nothing, decides nothing."""

from collections.abc import Iterable
from datetime import date

from django.db.models import Exists, OuterRef, QuerySet

from jobs.models import Job
from jobs.whereabouts import PlannedDay
from scheduling.models import Part, WeekVersion

SHOWN = (WeekVersion.State.DRAFT, WeekVersion.State.POSTED)


def planned_days(jobs: "QuerySet[Job]") -> list[PlannedDay]:
    """Every day on which a posted or drafted week holds a step of these jobs, by day.

    One statement, whatever the number of jobs.
    """
    return [_planned_day(part) for part in _parts(jobs)]


def posted_days(job_ids: Iterable[int]) -> dict[int, list[date]]:
    """For each job the days, in order, on which a posted week sends a crew: what builders see."""
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


def _parts(jobs: "QuerySet[Job]") -> "QuerySet[Part]":
    drafts = WeekVersion.objects.filter(
        week=OuterRef("stop__crew_day__version__week"), state=WeekVersion.State.DRAFT
    )
    return (
        Part.objects.filter(stop__job__in=jobs, stop__crew_day__version__state__in=SHOWN)
        .annotate(has_draft=Exists(drafts))
        .select_related("step", "stop__crew_day__crew", "stop__crew_day__version__week")
        .order_by("stop__crew_day__date", "step__position")
    )


def _planned_day(part: Part) -> PlannedDay:
    crew_day = part.stop.crew_day
    posted = crew_day.version.state == WeekVersion.State.POSTED
    return PlannedDay(
        job_id=part.stop.job_id,
        step_id=part.step_id,
        step_kind=part.step.kind,
        day=crew_day.date,
        crew=crew_day.crew.name,
        week=crew_day.version.week.label,
        posted=posted,
        being_changed=posted and bool(getattr(part, "has_draft", False)),
    )
