"""Data for the browser's own server: a week ahead with one house planned and some to place."""

from contractor.workdays import IsoWeek
from scheduling.models import Stop, Week, WeekVersion
from tests.morning import company_this_morning, yard_today
from tests.people import job_make, password_give, site_make
from tests.scheduling.houses import version_make, visit_make, work_make


def load() -> None:
    """One house planned on Monday with North, South full on Tuesday, five that want a place."""
    company = company_this_morning()
    for user in (company.omar, company.esme):
        password_give(user)
    week = IsoWeek.of(yard_today()).plus(1)  # lies wholly ahead
    monday, tuesday = week.days()[:2]
    site = site_make(company.fairfield)
    jobs = []
    for number in range(1, 8):
        job = job_make(site, f"Lot {number}", ready_date=None, promised_date=None)
        work_make(job, {"batt": 430 if number == 7 else 120})
        jobs.append(job)
    version = version_make(company, WeekVersion.State.DRAFT, week)
    visit_make(version, company.north, monday, jobs[0], {"batt": 120})
    visit_make(version, company.south, tuesday, jobs[6], {"batt": 430})


def week_print() -> None:
    """Print the week ahead."""
    print(IsoWeek(*Week.objects.values_list("iso_year", "iso_week").get()))


def whereabouts_print(unit: str) -> None:
    """Print the crew and the day of a house, or that it is on the shelf."""
    stop = Stop.objects.filter(job__unit=unit, crew_day__version__state="draft").first()
    print(f"{stop.crew_day.crew} {stop.crew_day.date}" if stop else "shelf")
