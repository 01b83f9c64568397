"""Finished and open jobs of the invented company, for tests about rates; knows no test."""

from datetime import date
from decimal import Decimal

from contractor.models import Crew, Machine
from jobs.estimates.services.estimate import job_estimate
from jobs.models import Actual, Job, Step
from jobs.rates.services.actuals import actual_enter
from scheduling.models import CrewDay, Part, Stop, Week, WeekVersion
from tests.people import ACTOR, MONDAY, NOW, Company, attic_make, job_make, site_make

DONE_ON = date(2027, 2, 24)


def attic_job(company: Company, unit: str, area_ft2: int = 1500, state: str = "open") -> Job:
    """An attic at one site, estimated."""
    site = company.fairfield.sites.first() or site_make(company.fairfield)
    job = job_make(site, unit)
    attic_make(job, company.cellulose, area_ft2=area_ft2)
    job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)
    Job.objects.filter(pk=job.pk).update(state=state)
    job.refresh_from_db()
    return job


def step_of(job: Job, kind: str = "flat_blow") -> Step:
    return job.steps.get(kind=kind)


def enter(
    step: Step,
    crew: Crew,
    minutes: int,
    *,
    machine: Machine | None = None,
    people: int = 2,
    bags: int | None = None,
    worked_on: date = DONE_ON,
) -> Actual:
    """What a step took, entered by a command."""
    return actual_enter(
        step_id=step.pk,
        crew=crew,
        machine=machine,
        people=people,
        minutes=minutes,
        bags=bags,
        worked_on=worked_on,
        actor=ACTOR,
        now=NOW,
    )


def finished(company: Company, count: int, ratio: str, crew: Crew | None = None) -> None:
    """So many finished attics, each with the same ratio of actual to estimate."""
    there = Job.objects.count()
    for index in range(count):
        job = attic_job(company, f"Done {there + index}", state="finished")
        step = step_of(job)
        minutes = round(Decimal(step.crew_minutes["2"]) * Decimal(ratio))
        enter(step, crew or company.north, minutes, machine=company.blower)


def post(job: Job, crew: Crew) -> None:
    """Put the job's first step on a posted week."""
    week, _ = Week.objects.get_or_create(branch=crew.branch, iso_year=2027, iso_week=9)
    version, _ = WeekVersion.objects.get_or_create(
        week=week, state="posted", defaults={"created_at": NOW, "posted_at": NOW}
    )
    crew_day, _ = CrewDay.objects.get_or_create(version=version, crew=crew, date=MONDAY)
    stop = Stop.objects.create(crew_day=crew_day, job=job, position=crew_day.stops.count() + 1)
    step = job.steps.first()
    assert step is not None
    Part.objects.create(stop=stop, step=step, minutes=60, step_minutes=step.crew_minutes["2"])
