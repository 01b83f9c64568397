"""What each coming visit puts at risk, by the planner's own figures; changes nothing."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import QuerySet

from contractor.models import Branch
from contractor.workdays import WorkCalendar
from jobs.localtime import branch_calendar, local_date
from jobs.models import Job, Site
from jobs.readiness.queries.outlook import JobOutlook, jobs_outlook
from jobs.stakes import Stake
from jobs.whereabouts import PlannedDay
from scheduling.gather.cases import turned_away_cents
from scheduling.gather.rows import costs_of, drives_between, measured_read
from scheduling.weeks.queries.planned import planned_days
from scheduling.weeks.queries.strips import setup_minutes


def stakes(jobs: "QuerySet[Job]", now: datetime) -> list[Stake]:
    """Return coming visits to these jobs, by day, as the office means the plan now: drafts first.

    The number of statements depends on the yards alone.
    """
    days = [planned for planned in planned_days(jobs) if not planned.being_changed]
    return stakes_of_days(days, now)


def stakes_of_days(days: Sequence[PlannedDay], now: datetime) -> list[Stake]:
    """Return what the visits among these planned days, in their order, put at risk from today on.

    A step that goes on from an earlier day is at no risk: its crew has been let in.
    """
    starting = _first_days(days)
    job_ids = {planned.job_id for planned in starting}
    dates = sorted({planned.day for planned in starting})
    # Nothing that lies behind every yard's today can be asked for any more.
    outlooks = jobs_outlook(Job.objects.filter(pk__in=job_ids), dates) if job_ids else []
    grounds = _grounds(outlooks, now)
    by_job = {outlook.job.pk: outlook for outlook in outlooks}
    found = []
    for visit in _visits(starting):
        outlook = by_job[visit[0].job_id]
        ground = grounds[outlook.job.site.branch_id]
        if visit[0].day >= ground.today:
            found.append(_stake(visit, outlook, ground, dates.index(visit[0].day)))
    return found


@dataclass(frozen=True)
class _Ground:
    """What the stakes of a yard are reckoned from."""

    today: date
    work: WorkCalendar
    turned_away_cents: dict[int, int]


def _grounds(outlooks: Iterable[JobOutlook], now: datetime) -> dict[int, _Ground]:
    by_branch: dict[int, list[Job]] = {}
    for outlook in outlooks:
        by_branch.setdefault(outlook.job.site.branch_id, []).append(outlook.job)
    return {
        branch_id: _Ground(
            today=local_date(jobs[0].site.branch, now),
            work=branch_calendar(jobs[0].site.branch),
            turned_away_cents=_turned_away(jobs[0].site.branch, jobs),
        )
        for branch_id, jobs in by_branch.items()
    }


def _turned_away(branch: Branch, jobs: Collection[Job]) -> dict[int, int]:
    """Return what it costs to come for nothing, by job: from the drives the planner has as well.

    Where a site has no coordinates its drive is guessed from those of the other open sites.
    """
    sites = Site.objects.filter(branch=branch, jobs__in=Job.objects.open()).distinct()
    every_site = {site.pk: site for site in (*sites, *(job.site for job in jobs))}
    drives = drives_between(branch, list(every_site.values()), measured_read(branch)).from_yard
    costs = costs_of(branch)
    return {
        job.pk: turned_away_cents(
            costs, drives[job.site.place], setup_minutes(job, costs.people_per_crew)
        )
        for job in jobs
    }


def _first_days(days: Iterable[PlannedDay]) -> list[PlannedDay]:
    """Return of each step the part with which it begins."""
    first: dict[int, PlannedDay] = {}
    for planned in days:
        known = first.setdefault(planned.step_id, planned)
        if planned.day < known.day:
            first[planned.step_id] = planned
    return sorted(first.values(), key=lambda planned: planned.day)


def _visits(days: Iterable[PlannedDay]) -> list[list[PlannedDay]]:
    """Return the steps that one crew begins at one house on one day."""
    found: dict[tuple[date, int, str], list[PlannedDay]] = {}
    for planned in days:
        found.setdefault((planned.day, planned.job_id, planned.crew), []).append(planned)
    return list(found.values())


def _stake(visit: Sequence[PlannedDay], outlook: JobOutlook, ground: _Ground, number: int) -> Stake:
    """Return the visit with the chance of the least likely of its steps."""
    ids = {planned.step_id for planned in visit}
    risks = [entry.risks[number] for entry in outlook.steps if entry.step.pk in ids]
    first = visit[0]
    return Stake(
        job_id=first.job_id,
        day=first.day,
        crew=first.crew,
        week=first.week,
        posted=first.posted,
        step_kinds=tuple(planned.step_kind for planned in visit),
        days_left=ground.work.count(ground.today, first.day),
        chance=1 - max(risks, default=0.0),
        turned_away_cents=ground.turned_away_cents[first.job_id],
    )
