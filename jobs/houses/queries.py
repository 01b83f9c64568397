"""The reads of `jobs`, each in a constant number of statements; writes nothing, knows no week."""

from dataclasses import dataclass

from django.db.models import Prefetch, Q, QuerySet

from contractor.access import Scope
from contractor.models import Event
from jobs.desk.queries import events_about, jobs_with_place
from jobs.models import (
    Condition,
    EstimateWarning,
    Job,
    Site,
    Space,
    Step,
)
from jobs.readiness.queries.outlook import JobOutlook, outlook_of_loaded

NEWEST_EVENTS = 50


@dataclass(frozen=True)
class JobPage:
    """Everything that the page of a job shows."""

    job: Job
    spaces: list[Space]
    steps: list[Step]
    conditions: list[Condition]
    warnings: list[EstimateWarning]
    outlook: JobOutlook
    events: list[Event]


def job_list(scope: Scope, *, state: str = Job.State.OPEN, search: str = "") -> QuerySet[Job]:
    """Return the scope's jobs in a state, whose site, unit, builder or address holds the words."""
    jobs = jobs_with_place(scope).filter(state=state)
    for word in search.split():
        jobs = jobs.filter(
            Q(site__name__icontains=word)
            | Q(unit__icontains=word)
            | Q(site__builder__name__icontains=word)
            | Q(site__address__icontains=word)
        )
    return jobs


def job_page(scope: Scope, job_id: int) -> JobPage | None:
    """Return a job with everything about it; None where it is not there or not the scope's."""
    spaces = Space.objects.select_related("material").prefetch_related("warnings__answered_by")
    jobs = jobs_with_place(scope).prefetch_related(
        "steps", "conditions", Prefetch("spaces", spaces)
    )
    job = jobs.filter(pk=job_id).first()
    if job is None:
        return None
    outlook = outlook_of_loaded(job)
    return JobPage(
        job=job,
        spaces=list(job.spaces.all()),
        steps=list(job.steps.all()),
        conditions=list(job.conditions.all()),
        warnings=list(outlook.warnings),
        outlook=outlook,
        events=_events(job),
    )


def _events(job: Job) -> list[Event]:
    """Return the newest events about the job and what belongs to it."""
    return list(events_about(job)[:NEWEST_EVENTS])


def warnings_visible(scope: Scope) -> QuerySet[EstimateWarning]:
    """Return the warnings of the jobs that the scope sees."""
    jobs = Job.objects.visible_to(scope).values("pk")
    return EstimateWarning.objects.filter(space__job__in=jobs).select_related("space__job__site")


def sites_without_place(scope: Scope) -> QuerySet[Site]:
    """Return the scope's sites whose coordinates are still to be asked for."""
    return Site.objects.visible_to(scope).without_place().select_related("builder", "branch")
