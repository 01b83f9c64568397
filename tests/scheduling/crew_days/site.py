"""Data for the server of the phone's browser tests: two crews' days, posted for today and after."""

from datetime import UTC, datetime, timedelta

from contractor.workdays import IsoWeek
from jobs.localtime import local_date
from jobs.models import Job
from scheduling.models import Week, WeekVersion
from tests.morning import company_this_morning
from tests.people import Company, job_make, password_give
from tests.scheduling.houses import condition_make, house_make, version_make, visit_make, work_make

WORK = {"air_seal": 60, "flat_blow": 90, "batt": 45}
HOUSES = ("Lot 1", "Lot 2", "Lot 3")
CHANGE = "from tests.scheduling.crew_days.site import plan_change as f; f()"


def load() -> None:
    """Today three houses for the North crew, one for the South crew, two for Lowton's.

    Tomorrow one more for the North crew, which has all that it needs for a day of forty taps.
    """
    company = company_this_morning()
    for user in (company.cleo, company.saul, company.lars):
        user.may_clear_stop = True
        user.save()
        password_give(user)
    today = local_date(company.fairfield, datetime.now(UTC))
    version = version_make(company, WeekVersion.State.POSTED, IsoWeek.of(today))
    for unit in HOUSES:
        visit_make(version, company.north, today, _house(company, unit), WORK)
    tomorrow = today + timedelta(days=1)
    visit_make(version, company.north, tomorrow, _house(company, "Lot 4"), WORK)
    visit_make(version, company.south, today, _house(company, "Lot 5"), WORK)
    lowton = Week.objects.create(branch=company.lowton, iso_year=2027, iso_week=1)
    lowton_day = _posted(lowton)
    for unit in ("Lot 6", "Lot 7"):
        visit_make(lowton_day, company.lowton_crew, today, _house(company, unit), WORK)


def _posted(week: Week) -> WeekVersion:
    now, state = datetime.now(UTC), WeekVersion.State.POSTED
    return WeekVersion.objects.create(week=week, state=state, created_at=now, posted_at=now)


def _house(company: Company, unit: str) -> Job:
    """A house with two things to see: one before the sealing, one before the blowing."""
    job = house_make(company, unit, WORK)
    condition_make(job, ["air_seal"], code="B1")
    condition_make(job, ["flat_blow"], code="B2")
    return job


def plan_change() -> None:
    """Post Lowton's week anew: Lot 6 leaves its crew's day, Lot 8 comes to it."""
    old = WeekVersion.objects.get(state="posted", week__branch__name="Lowton yard")
    WeekVersion.objects.filter(pk=old.pk).update(state=WeekVersion.State.REPLACED)
    crew_day = old.crew_days.get()
    site = Job.objects.get(unit="Lot 7").site
    lot_8 = job_make(site, "Lot 8")
    work_make(lot_8, WORK)
    new = _posted(old.week)
    for job in (Job.objects.get(unit="Lot 7"), lot_8):
        visit_make(new, crew_day.crew, crew_day.date, job, WORK)
