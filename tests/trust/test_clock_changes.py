"""A crew's day by the wall's clock, and the day it is, around every change of clocks in the US.

Zones are those that the IANA data list for the US (zone.tab). The clocks change on the second
Sunday of March and the first of November (15 USC 260a). What day it is somewhere is checked
against python-dateutil, which reckons with zones by a program of its own; a crew's times against
minutes added to seven o'clock by hand.
"""

from datetime import UTC, date, datetime, time, timedelta
from importlib.resources import files

import pytest
from dateutil import tz

from contractor.access import Scope
from contractor.models import Branch
from contractor.workdays import IsoWeek
from jobs.localtime import local_date
from scheduling.crew_days.queries.crew_days import crew_day_page
from scheduling.models import WeekVersion
from tests.people import Company, signed_in
from tests.scheduling.houses import house_make, version_make, visit_make
from tests.trust.disk import Figure, figure

__all__ = ["figure"]
YEARS = (2026, 2027, 2028)
SUNDAYS = tuple(
    next(day for day in (date(year, month, first + n) for n in range(7)) if day.weekday() == 6)
    for year in YEARS
    for month, first in ((3, 8), (11, 1))
)
DAYS = tuple(sunday + timedelta(days=number) for sunday in SUNDAYS for number in (-1, 0, 1))
EVERYWHERE = Scope(all_branches=True)


def zones() -> list[str]:
    """The names of all zones of the United States."""
    lines = (files("tzdata") / "zoneinfo" / "zone.tab").read_text().splitlines()
    return [line.split("\t")[2] for line in lines if line.startswith("US\t")]


def test_the_zones_and_days_are_those_of_the_us() -> None:
    assert {"America/New_York", "America/Phoenix", "Pacific/Honolulu"} <= set(zones())
    assert len(zones()) >= 29
    chicago = tz.gettz("America/Chicago")
    for sunday in SUNDAYS:
        before, after = (
            datetime.combine(sunday, time(hour), chicago).utcoffset() for hour in (0, 12)
        )
        assert before != after, sunday


def test_it_is_the_day_that_the_zone_s_clock_shows(figure: Figure) -> None:
    wrong, moments = [], 0
    for zone in zones():
        branch, other = Branch(time_zone=zone), tz.gettz(zone)
        for sunday in SUNDAYS:
            noon = datetime.combine(sunday, time(12), UTC)
            for half_hours in range(-72, 73):
                moment = noon + timedelta(minutes=30 * half_hours)
                moments += 1
                if local_date(branch, moment) != moment.astimezone(other).date():
                    wrong.append(f"{zone} {moment}")
    figure("moments, of them with the wrong day", (moments, len(wrong)))
    assert wrong == []


MEAL_MINUTES = 30  # the yard's usual one, begun before the end of the fifth hour


@pytest.fixture
def days_posted(company: Company) -> Company:
    """Two houses for North on each day around a change of clocks."""
    for number, on in enumerate(DAYS):
        week = IsoWeek.of(on)
        version = WeekVersion.objects.filter(
            week__iso_year=week.year, week__iso_week=week.week
        ).first() or version_make(company, WeekVersion.State.POSTED, week)
        for unit in ("a", "b"):
            job = house_make(company, f"Lot {number}{unit}", {"batt": 100})
            visit_make(version, company.north, on, job, {"batt": 100})
    return company


@pytest.mark.django_db
def test_a_day_starts_at_seven_by_the_wall_whatever_the_clocks_did(
    days_posted: Company, figure: Figure
) -> None:
    branch, wrong, seen = days_posted.fairfield, [], 0
    for zone in zones():
        Branch.objects.filter(pk=branch.pk).update(time_zone=zone)
        for on in DAYS:
            page = crew_day_page(scope=EVERYWHERE, crew_id=days_posted.north.pk, day=on)
            assert page is not None
            seen += 1
            minutes = 0
            told = [(page.start, 0)]
            for stop in page.stops:
                minutes += stop.drive_minutes
                told.append((stop.arrive, minutes))
                minutes += stop.setup_minutes + sum(part.minutes for part in stop.parts)
                told.append((stop.leave, minutes))
            told.append((page.end, minutes + page.home_minutes))
            assert page.meal is not None
            ate = page.meal.starts_at.time()
            eaten = [MEAL_MINUTES if at > ate else 0 for at, _ in told]
            due = [7 * 60 + after + meal for (_, after), meal in zip(told, eaten, strict=True)]
            if [_of_day(at) for at, _ in told] != due:
                wrong.append(f"{zone} {on}: {told}")
    figure("crew-days, of them with a wrong time", (seen, len(wrong)))
    assert wrong == []
    assert minutes > 200


def _of_day(at: time) -> int:
    return at.hour * 60 + at.minute


@pytest.mark.django_db
@pytest.mark.parametrize("zone", ["America/New_York", "America/Phoenix", "America/Adak"])
def test_the_page_says_seven(days_posted: Company, zone: str) -> None:
    Branch.objects.filter(pk=days_posted.fairfield.pk).update(time_zone=zone)
    browser = signed_in(days_posted.cleo)
    for on in DAYS:
        shown = browser.get(f"/crew-days/{days_posted.north.pk}/{on.isoformat()}/")
        assert "7:00" in shown.content.decode(), (zone, on)
