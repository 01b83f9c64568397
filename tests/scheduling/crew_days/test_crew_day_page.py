"""What crews are told of their posted days, and that others' days look like none at all."""

from datetime import time

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from contractor.access import scope_of
from contractor.travel import great_circle_miles, road_minutes
from jobs.models import Job
from scheduling.crew_days.queries.crew_days import crew_day_page, crew_days_of
from scheduling.models import WeekVersion
from scheduling.weeks.shapes import TruckLoad
from tests.people import MONDAY, Company
from tests.scheduling.houses import condition_make, day, house_make, version_make, visit_make

POSTED, DRAFT = WeekVersion.State.POSTED, WeekVersion.State.DRAFT
DRIVE = road_minutes(great_circle_miles((41.6005, -93.6091), (41.65, -93.7)))


@pytest.fixture
def lot(company: Company) -> Job:
    job = house_make(company, "Lot 1", {"air_seal": 120, "flat_blow": 400})
    version = version_make(company, POSTED)
    stop = visit_make(version, company.north, day(1), job, {"air_seal": 120, "flat_blow": 100})
    stop.crew_day.machines.add(company.blower)
    visit_make(version, company.north, day(2), job, {"flat_blow": 300})
    return job


def clock(minutes: int) -> time:
    return time(7 + minutes // 60, minutes % 60)


def test_a_day_from_start_to_end(company: Company, lot: Job) -> None:
    condition_make(lot, ["air_seal"], state="promised", promised_for=day(1))
    shown = crew_day_page(scope=scope_of(company.cleo), crew_id=company.north.pk, day=day(1))
    assert shown is not None
    (stop,) = shown.stops
    assert (shown.start, stop.arrive) == (time(7), clock(DRIVE))
    assert stop.leave == clock(DRIVE + 30 + 220)
    assert shown.end == clock(2 * DRIVE + 250)
    assert shown.machines == ("Blower 1",)
    assert set(shown.members) == {"Cleo", "Chet Brook", "Cora Field"}
    assert stop.ready is not None
    marks = stop.ready.marks
    assert (str(marks.count), stop.ready.line, len(marks.open)) == ("0 of 1", "dashed", 1)
    assert stop.superintendent is not None
    assert stop.superintendent.name == "Rosa Reyes"
    assert (stop.latitude, stop.longitude) == (41.65, -93.7)


def test_of_a_divided_step_the_day_s_share_is_loaded(company: Company, lot: Job) -> None:
    scope = scope_of(company.cleo)
    first = crew_day_page(scope=scope, crew_id=company.north.pk, day=day(1))
    second = crew_day_page(scope=scope, crew_id=company.north.pk, day=day(2))
    assert first is not None
    assert second is not None
    # Ten bags for 400 minutes: a quarter on the first day, the rest on the second.
    assert first.loads == (TruckLoad("bags", 2.5, "bag"),)
    assert second.loads == (TruckLoad("bags", 7.5, "bag"),)


def test_only_posted_days_of_the_own_crew_are_there(company: Company, lot: Job) -> None:
    draft = version_make(company, DRAFT)
    visit_make(draft, company.south, day(1), lot, {"air_seal": 120})
    north, south = company.north.pk, company.south.pk
    assert crew_day_page(scope=scope_of(company.saul), crew_id=north, day=day(1)) is None
    assert crew_day_page(scope=scope_of(company.lena), crew_id=north, day=day(1)) is None
    assert crew_day_page(scope=scope_of(company.omar), crew_id=south, day=day(1)) is None
    assert crew_day_page(scope=scope_of(company.omar), crew_id=north, day=day(1)) is not None
    assert crew_day_page(scope=scope_of(company.cleo), crew_id=north, day=day(4)) is None


def test_the_days_to_come_by_person(company: Company, lot: Job) -> None:
    lines = crew_days_of(scope=scope_of(company.cleo), today=MONDAY)
    assert [(line.crew, line.date, line.stops, line.minutes) for line in lines] == [
        (company.north, day(1), ("Quarry Lane 1, Lot 1",), 220),
        (company.north, day(2), ("Quarry Lane 1, Lot 1",), 300),
    ]
    assert crew_days_of(scope=scope_of(company.saul), today=MONDAY) == ()
    assert crew_days_of(scope=scope_of(company.lena), today=MONDAY) == ()
    assert len(crew_days_of(scope=scope_of(company.olive), today=day(2))) == 1


def test_statements_do_not_grow_with_stops(company: Company, lot: Job) -> None:
    def count() -> int:
        with CaptureQueriesContext(connection) as queries:
            crew_day_page(scope=scope_of(company.cleo), crew_id=company.north.pk, day=day(1))
        return len(queries)

    version = WeekVersion.objects.get()
    before = count()
    for number in (2, 3):
        job = house_make(company, f"Lot {number}", {"air_seal": 60}, site=f"Site {number}")
        condition_make(job, ["air_seal"])
        visit_make(version, company.north, day(1), job, {"air_seal": 60})
    assert count() == before
    assert before <= 10
