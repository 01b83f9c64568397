"""Reads that many rooms share: jobs with their place, and who changed one last."""

from django.db.models import Q, QuerySet

from contractor.access import Scope
from contractor.models import Event
from jobs.models import (
    Job,
)


def jobs_with_place(scope: Scope) -> QuerySet[Job]:
    """Return the jobs that the scope sees, with site, builder, superintendent and branch loaded."""
    return Job.objects.visible_to(scope).select_related(
        "site__builder", "site__superintendent", "site__branch"
    )


def events_about(job: Job) -> QuerySet[Event]:
    about_job = Q(noun="job", noun_id=str(job.pk)) | Q(what__job=job.pk)
    return Event.objects.filter(about_job).select_related("user")


def job_last_change(job: Job) -> Event | None:
    """Tell who changed a job or its spaces last, and what; an estimate is the work of a change."""
    return events_about(job).filter(noun__in=("job", "space")).exclude(verb="estimated").first()
