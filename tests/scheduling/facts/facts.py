"""A posted day of crew north with two houses, and facts as its phone sends them."""

from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from uuid import UUID

from contractor.models import Crew
from jobs.models import Condition, Job
from scheduling.facts.services.facts import FactTaken, facts_take
from scheduling.models import WeekVersion
from tests.people import MONDAY, NOW, Company
from tests.scheduling.houses import condition_make, house_make, version_make, visit_make

# The tests' Monday, seven in the morning at the yard.
SEVEN = NOW.replace(month=3, day=1, hour=13)
EVENING = SEVEN + timedelta(hours=11)


@dataclass(frozen=True)
class Day:
    """Crew north's Monday: Lot 1, whose chase must be capped before the blow, and Lot 2."""

    crew: Crew
    lot: Job
    second: Job
    chase: Condition


def day_make(company: Company) -> Day:
    """Post that Monday."""
    lot = house_make(company, "Lot 1", {"air_seal": 120, "flat_blow": 90})
    second = house_make(company, "Lot 2", {"batt": 60})
    chase = condition_make(lot, ["flat_blow"], state=Condition.State.REPORTED_DONE)
    version = version_make(company, WeekVersion.State.POSTED)
    visit_make(version, company.north, MONDAY, lot, {"air_seal": 120, "flat_blow": 90})
    visit_make(version, company.north, MONDAY, second, {"batt": 60})
    return Day(company.north, lot, second, chase)


def said(day: Day, number: int, kind: str, **more: Any) -> dict[str, Any]:
    """The number-th fact of the day, so many minutes after seven, as a phone sends it."""
    return {
        "id": str(UUID(int=number)),
        "kind": kind,
        "crew": day.crew.pk,
        "day": MONDAY.isoformat(),
        "job": day.lot.pk,
        "at": (SEVEN + timedelta(minutes=number)).isoformat(),
    } | more


def take(company: Company, *facts: dict[str, Any], **more: Any) -> list[FactTaken]:
    """Send facts as Cleo, in the evening, by a phone whose clock is right."""
    told: dict[str, Any] = {"person": company.cleo, "phone": None, "sent_at": EVENING}
    return facts_take(facts=facts, now=EVENING, **told | more)
