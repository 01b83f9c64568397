"""The reads of `jobs`, each in a constant number of statements; writes nothing, knows no week."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch, Q, QuerySet

from contractor.access import Scope
from contractor.link_secret import secret_hash
from contractor.models import Event, User
from jobs.conditions.states import moves_open
from jobs.conditions.words import US
from jobs.conditions_rows import mover_of_user, terms_of
from jobs.localtime import local_date
from jobs.models import (
    ChecklistLink,
    Condition,
    EstimateWarning,
    Job,
    Site,
    Space,
    Step,
    Superintendent,
)
from jobs.outlook import JobOutlook, StepOutlook, jobs_outlook, outlook_of_loaded

__all__ = [
    "House",
    "JobOutlook",
    "JobPage",
    "StepOutlook",
    "checklist_condition",
    "checklist_houses",
    "checklist_link_open",
    "conditions_visible",
    "job_last_change",
    "job_list",
    "job_page",
    "jobs_outlook",
    "jobs_with_place",
    "links_of",
    "local_date",
    "moves_for",
    "sites_without_place",
    "superintendents_of",
    "warnings_visible",
]

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


@dataclass(frozen=True)
class House:
    """A house of a superintendent, with what the builder's side owes for it."""

    job: Job
    conditions: tuple[Condition, ...]


def jobs_with_place(scope: Scope) -> QuerySet[Job]:
    """The jobs that the scope sees, with site, builder, superintendent and branch loaded."""
    return Job.objects.visible_to(scope).select_related(
        "site__builder", "site__superintendent", "site__branch"
    )


def job_list(scope: Scope, *, state: str = Job.State.OPEN, search: str = "") -> QuerySet[Job]:
    """The scope's jobs in a state, whose site, unit, builder or address holds the words."""
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
    """A job with everything about it; None where it is not there or not the scope's."""
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
    """The newest events about the job and what belongs to it."""
    return list(_events_about(job)[:NEWEST_EVENTS])


def _events_about(job: Job) -> QuerySet[Event]:
    about_job = Q(noun="job", noun_id=str(job.pk)) | Q(what__job=job.pk)
    return Event.objects.filter(about_job).select_related("user")


def job_last_change(job: Job) -> Event | None:
    """Who changed a job or its spaces last, and what; an estimate is the work of a change."""
    return _events_about(job).filter(noun__in=("job", "space")).exclude(verb="estimated").first()


def moves_for(condition: Condition, user: User) -> tuple[str, ...]:
    """The states to which this person may try to move the condition."""
    return moves_open(terms_of(condition), condition.state, mover_of_user(user))


def conditions_visible(scope: Scope) -> QuerySet[Condition]:
    """The conditions of the jobs that the scope sees."""
    jobs = Job.objects.visible_to(scope).values("pk")
    return Condition.objects.filter(job__in=jobs).select_related("job__site__branch")


def warnings_visible(scope: Scope) -> QuerySet[EstimateWarning]:
    """The warnings of the jobs that the scope sees."""
    jobs = Job.objects.visible_to(scope).values("pk")
    return EstimateWarning.objects.filter(space__job__in=jobs).select_related("space__job__site")


def sites_without_place(scope: Scope) -> QuerySet[Site]:
    """The scope's sites whose coordinates are still to be asked for."""
    return Site.objects.visible_to(scope).without_place().select_related("builder", "branch")


def superintendents_of(scope: Scope) -> QuerySet[Superintendent]:
    """The superintendents of the scope's open jobs."""
    sites = Job.objects.open().visible_to(scope).values("site")
    return (
        Superintendent.objects.filter(sites__in=sites)
        .select_related("builder")
        .order_by("builder__name", "name")
        .distinct()
    )


def links_of(scope: Scope) -> QuerySet[ChecklistLink]:
    """The checklist links that the scope's branches gave out."""
    links = ChecklistLink.objects.select_related("superintendent__builder", "branch")
    return links if scope.all_branches else links.filter(branch_id__in=scope.branch_ids)


def checklist_link_open(secret: str, now: datetime) -> ChecklistLink | None:
    """The link that a secret opens. A wrong, an expired and a closed one take the same path."""
    alive = ChecklistLink.objects.alive(now).select_related("superintendent__builder", "branch")
    return alive.filter(secret_hash=secret_hash(secret)).first()


def _houses(link: ChecklistLink) -> QuerySet[Job]:
    return Job.objects.open().filter(
        site__superintendent=link.superintendent, site__branch=link.branch
    )


def checklist_houses(link: ChecklistLink) -> list[House]:
    """The open houses of the link's superintendent, with what is not ours to do; two statements."""
    owed = Condition.objects.filter(needed=True).exclude(owed_by=US)
    jobs = _houses(link).select_related("site").prefetch_related(Prefetch("conditions", owed))
    return [House(job, tuple(job.conditions.all())) for job in jobs]


def checklist_condition(link: ChecklistLink, condition_id: int) -> Condition | None:
    """A condition of the link's own houses; None for any other."""
    owed = Condition.objects.filter(needed=True).exclude(owed_by=US)
    conditions = owed.select_related("job__site__branch")
    return conditions.filter(pk=condition_id, job__in=_houses(link)).first()
