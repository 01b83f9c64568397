"""Data for the browser's own server: a crew out on this very day that was turned away."""

from datetime import UTC, datetime, timedelta
from uuid import uuid4

from contractor.models import Crew, User
from contractor.workdays import IsoWeek
from jobs.localtime import local_date
from jobs.models import Condition, Job
from scheduling.facts.services.facts import facts_take
from scheduling.models import WeekVersion
from tests.morning import company_this_morning
from tests.people import job_make, password_give, site_make
from tests.scheduling.houses import condition_make, version_make, visit_make, work_make


def load() -> None:
    """North goes to two houses today and was turned away from the first a minute ago."""
    company = company_this_morning()
    password_give(company.omar)
    day = local_date(company.fairfield, datetime.now(UTC))
    site = site_make(company.fairfield)
    version = version_make(company, WeekVersion.State.POSTED, IsoWeek.of(day))
    for unit in ("Lot 1", "Lot 2"):
        job = job_make(site, unit)
        work_make(job, {"batt": 120})
        visit_make(version, company.north, day, job, {"batt": 120})
    chase = condition_make(Job.objects.get(unit="Lot 1"), ["batt"], state=Condition.State.OWED)
    say("turned_away", "Lot 1", {"missing": [chase.pk], "why": "the chase is open"})


def say(kind: str, unit: str, what: dict[str, object]) -> None:
    """Let Cleo say something of a house of today."""
    crew, cleo = Crew.objects.get(name="North"), User.objects.get(username="cleo")
    now = datetime.now(UTC)
    fact = {
        "id": str(uuid4()),
        "kind": kind,
        "crew": crew.pk,
        "day": local_date(crew.branch, now).isoformat(),
        "job": Job.objects.get(unit=unit).pk,
        "at": (now - timedelta(minutes=1)).isoformat(),
        "what": what,
    }
    (taken,) = facts_take(person=cleo, phone=None, facts=[fact], sent_at=now, now=now)
    assert taken.state != "refused", taken.why
