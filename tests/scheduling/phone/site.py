"""Data for the server of the phone's browser tests: two crews' days, posted for today and after."""

import json
import sys
from datetime import UTC, date, datetime, timedelta

from contractor.workdays import IsoWeek
from jobs.models import Job
from jobs.queries import local_date
from scheduling.models import CrewDay, Fact, FactPhoto, WeekVersion
from tests.people import Company, company_make, password_give
from tests.scheduling.houses import condition_make, house_make, version_make, visit_make

WORK = {"air_seal": 60, "flat_blow": 90, "batt": 45}
HOUSES = ("Lot 1", "Lot 2", "Lot 3")
TOLD = "from tests.scheduling.phone.site import told_print as f; f()"
CHANGE = "from tests.scheduling.phone.site import plan_change as f; f()"


def load() -> None:
    """Three houses for the North crew today, one tomorrow; one for the South crew today."""
    company = company_make()
    company.cleo.may_clear_stop = True
    company.cleo.save()
    for user in (company.omar, company.cleo, company.saul):
        password_give(user)
    today = local_date(company.fairfield, datetime.now(UTC))
    version = version_make(company, WeekVersion.State.POSTED, IsoWeek.of(today))
    for unit in HOUSES:
        visit_make(version, company.north, today, _house(company, unit), WORK)
    tomorrow = today + timedelta(days=1)
    visit_make(version, company.north, tomorrow, _house(company, "Lot 4"), WORK)
    visit_make(version, company.south, today, _house(company, "Lot 5"), WORK)


def _house(company: Company, unit: str) -> Job:
    """A house with two things to see: one before the sealing, one before the blowing."""
    job = house_make(company, unit, WORK)
    condition_make(job, ["air_seal"], code="B1")
    condition_make(job, ["flat_blow"], code="B2")
    return job


def told_print() -> None:
    """Print, as JSON, every fact and which of them have their picture."""
    facts = [
        {
            "id": str(fact.pk),
            "kind": fact.kind,
            "crew": fact.crew.name,
            "house": fact.job.unit if fact.job else "",
            "who": fact.person.username if fact.person else "",
            "tapped_at": fact.tapped_at.isoformat(),
            "happened_at": fact.happened_at.isoformat(),
            "what": fact.what,
        }
        for fact in Fact.objects.select_related("crew", "job", "person")
    ]
    pictures = [str(pk) for pk in FactPhoto.objects.values_list("fact_id", flat=True)]
    json.dump({"facts": facts, "pictures": pictures}, sys.stdout)


def plan_change() -> None:
    """Post the week anew: Lot 2 leaves the North crew's day, Lot 4 comes to it."""
    old = WeekVersion.objects.get(state=WeekVersion.State.POSTED)
    old.state = WeekVersion.State.REPLACED
    old.save()
    new = WeekVersion.objects.create(
        week=old.week,
        state=WeekVersion.State.POSTED,
        created_at=datetime.now(UTC),
        posted_at=datetime.now(UTC),
    )
    day = CrewDay.objects.filter(version=old, crew__name="North").order_by("date")[0]
    for unit in ("Lot 1", "Lot 3", "Lot 4"):
        visit_make(new, day.crew, _date(day), Job.objects.get(unit=unit), WORK)


def _date(day: CrewDay) -> date:
    return day.date
