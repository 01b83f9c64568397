"""A posted day of the North crew with real houses, for the tests of the phone page and links."""

from datetime import date

from jobs.checklists.services.link import checklist_link_make
from jobs.models import Job
from scheduling.models import CrewDay, WeekVersion
from tests.jobs.estimates.built import built
from tests.people import ACTOR, MONDAY, NOW, Company
from tests.scheduling.houses import version_make, visit_make

WORK = {"net": 60, "slope_blow": 90, "flat_blow": 120}


def posted_day(company: Company, houses: int = 1, *, on: date = MONDAY) -> list[Job]:
    """A posted Monday on which the North crew goes to so many houses with the only machine."""
    version = version_make(company, WeekVersion.State.POSTED)
    jobs = [built(company, f"Lot {n + 1}") for n in range(houses)]
    for job in jobs:
        visit_make(version, company.north, on, job, WORK)
    CrewDay.objects.get(version=version, crew=company.north, date=on).machines.add(company.blower)
    return jobs


def secret_of(job: Job) -> str:
    """The secret of a link to the houses of the job's superintendent."""
    person = job.site.superintendent
    assert person is not None
    return checklist_link_make(superintendent=person, branch=job.site.branch, actor=ACTOR, now=NOW)[
        1
    ]
