"""Reads all that planning some weeks of a branch needs, in a constant number of queries."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.core.exceptions import ObjectDoesNotExist

from contractor.models import Branch, DriveTime, Machine, PlanCosts
from contractor.travel import DriveTable, Place, TravelSettings, drive_table
from contractor.workdays import IsoWeek, WorkCalendar, weeks_working_days
from jobs.localtime import work_calendar
from jobs.models import Job, Site
from jobs.readiness.queries.outlook import JobOutlook, jobs_outlook
from scheduling.gather.crews import (
    CrewFacts,
    DaysOff,
    crew_facts,
    days_off_read,
    holidays_read,
)
from scheduling.gather.placements import Placements, WeekRow, placements_read, weeks_read

YARD = "yard"


@dataclass(frozen=True)
class Rows:
    """What the database says of some weeks of a branch.

    `all_days` are the working days of the weeks, `days` those from today on; the outlooks hold
    the branch's open jobs with the risks of `days`.
    """

    branch: Branch
    costs: PlanCosts
    first: IsoWeek
    weeks: int
    today: date
    work: WorkCalendar
    holidays: Mapping[date, str]
    all_days: tuple[date, ...]
    off: DaysOff
    week_rows: Mapping[IsoWeek, WeekRow]
    placements: Placements
    outlooks: Sequence[JobOutlook]
    crews: tuple[CrewFacts, ...]
    machines: tuple[Machine, ...]
    measured: Mapping[tuple[str, str], int]

    @property
    def days(self) -> tuple[date, ...]:
        """The working days that can still be planned."""
        return tuple(day for day in self.all_days if day >= self.today)

    @property
    def last_date(self) -> date:
        """The Sunday of the last week."""
        return self.first.plus(self.weeks).monday - timedelta(days=1)

    def drives(self, sites: Sequence[Site]) -> "Drives":
        """Return the minutes between the yard and some sites of the branch."""
        return drives_between(self.branch, sites, self.measured)


@dataclass(frozen=True)
class Drives:
    """Places and the minutes between them."""

    places: tuple[str, ...]
    table: DriveTable

    @property
    def from_yard(self) -> Mapping[str, int]:
        """Minutes from the yard to each place."""
        return dict(zip(self.places, self.table.minutes[0], strict=True))

    def minutes(self, start: str, end: str) -> int:
        """Return the minutes from one place to another."""
        return self.table.minutes[self.places.index(start)][self.places.index(end)]

    def only(self, used: set[str]) -> tuple[tuple[str, ...], tuple[tuple[int, ...], ...]]:
        """Return the table cut to the yard and the places used."""
        kept = [i for i, place in enumerate(self.places) if place == YARD or place in used]
        rows = tuple(tuple(self.table.minutes[i][j] for j in kept) for i in kept)
        return tuple(self.places[i] for i in kept), rows


def rows_read(*, branch: Branch, first: IsoWeek, weeks: int, today: date) -> Rows:
    """Read so many weeks of a branch. The number of queries does not depend on the rows."""
    holidays = holidays_read(branch)
    work = work_calendar(branch, holidays)
    all_days = tuple(weeks_working_days(work, first, weeks))
    last = first.plus(weeks).monday - timedelta(days=1)
    off = days_off_read(branch, first.monday, last)
    week_rows = weeks_read(branch)
    jobs = Job.objects.open().filter(site__branch=branch)
    return Rows(
        branch=branch,
        costs=costs_of(branch),
        first=first,
        weeks=weeks,
        today=today,
        work=work,
        holidays=holidays,
        all_days=all_days,
        off=off,
        week_rows=week_rows,
        placements=placements_read(branch, week_rows.values(), today, first.monday),
        outlooks=jobs_outlook(
            jobs, [day for day in all_days if day >= today], today=today, work=work
        ),
        crews=tuple(crew_facts(branch, off)),
        machines=tuple(branch.machines.filter(active=True)),
        measured=measured_read(branch),
    )


def measured_read(branch: Branch) -> dict[tuple[str, str], int]:
    """Return the measured minutes between places of the branch; one query."""
    rows = DriveTime.objects.filter(branch=branch)
    return {(row.from_place, row.to_place): row.minutes for row in rows}


def drives_between(
    branch: Branch, sites: Sequence[Site], measured: Mapping[tuple[str, str], int]
) -> Drives:
    """Return the minutes between a yard and sites, measured ones before those by coordinates."""
    by_place = {site.place: site for site in sites}
    places = [_place(YARD, branch), *(_place(name, site) for name, site in by_place.items())]
    settings = TravelSettings(
        road_factor=float(branch.road_factor), minutes_per_stop=branch.arrival_minutes
    )
    return Drives(tuple(place.id for place in places), drive_table(places, settings, measured))


def costs_of(branch: Branch) -> PlanCosts:
    """Return the branch's costs; the usual ones where nobody has set any yet."""
    try:
        return branch.costs
    except ObjectDoesNotExist:
        return PlanCosts(branch=branch)


def _place(name: str, row: Branch | Site) -> Place:
    if row.latitude is None or row.longitude is None:
        return Place(name)
    return Place(name, float(row.latitude), float(row.longitude))
