"""Jobs with work on them and weeks that hold it, by rows alone; for tests of scheduling."""

from collections.abc import Mapping
from datetime import date, timedelta

from contractor.models import Crew
from contractor.workdays import IsoWeek
from jobs.models import Condition, Job, Step
from scheduling.models import CrewDay, Part, Stop, Week, WeekVersion
from tests.people import MONDAY, NOW, Company, job_make, site_make

WEEK = IsoWeek(2027, 9)
NEXT_WEEK = IsoWeek(2027, 10)
BLOWN = ("dense_fill", "slope_blow", "flat_blow")


def day(number: int) -> date:
    """The number-th calendar day from the Monday of 2027-W09."""
    return MONDAY + timedelta(days=number)


def work_make(job: Job, minutes: Mapping[str, int], **lags: int) -> dict[str, Step]:
    """Give a job steps in the order named, each taking the same for any crew of two to four."""
    return {
        kind: Step.objects.create(
            job=job,
            kind=kind,
            position=position,
            crew_minutes={str(people): figure for people in (2, 3, 4)},
            person_minutes=2 * figure,
            machine_kind="blower" if kind in BLOWN else "",
            lag_days=lags.get(kind, 0),
            loads=[{"item": "bags", "quantity": 10, "unit": "bag"}] if kind in BLOWN else [],
        )
        for position, (kind, figure) in enumerate(minutes.items(), start=1)
    }


def house_make(
    company: Company,
    unit: str,
    minutes: Mapping[str, int],
    *,
    site: str = "Quarry Lane 1",
    ready_date: date | None = MONDAY,
    promised_date: date | None = date(2027, 3, 12),
    **lags: int,
) -> Job:
    """A job of Fairfield yard with work, at a site that is made where it is new."""
    place = company.fairfield.sites.filter(name=site).first() or site_make(company.fairfield, site)
    job = job_make(place, unit, ready_date=ready_date, promised_date=promised_date)
    work_make(job, minutes, **lags)
    return job


def condition_make(
    job: Job,
    kinds: list[str],
    *,
    code: str = "B1",
    owed_by: str = "builder",
    state: str = Condition.State.OWED,
    promised_for: date | None = None,
) -> Condition:
    """Something that steps of the job wait for."""
    return Condition.objects.create(
        job=job,
        code=code,
        name="chase cover",
        owed_by=owed_by,
        gate=Condition.Gate.BLOCK,
        holds=kinds,
        state=state,
        promised_for=promised_for,
    )


def version_make(company: Company, state: str, week: IsoWeek = WEEK) -> WeekVersion:
    """A draft or posted version of a Fairfield week, without crew-days."""
    row, _ = Week.objects.get_or_create(
        branch=company.fairfield, iso_year=week.year, iso_week=week.week
    )
    posted = NOW if state == WeekVersion.State.POSTED else None
    return WeekVersion.objects.create(week=row, state=state, created_at=NOW, posted_at=posted)


def visit_make(
    version: WeekVersion, crew: Crew, on: date, job: Job, minutes: Mapping[str, int]
) -> Stop:
    """A stop at the end of a crew's day, with minutes by kind of step."""
    crew_day, _ = CrewDay.objects.get_or_create(version=version, crew=crew, date=on)
    stop = Stop.objects.create(crew_day=crew_day, job=job, position=crew_day.stops.count() + 1)
    for step in job.steps.filter(kind__in=minutes):
        whole = max(step.crew_minutes["2"], minutes[step.kind])
        Part.objects.create(stop=stop, step=step, minutes=minutes[step.kind], step_minutes=whole)
    return stop
