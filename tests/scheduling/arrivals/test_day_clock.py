"""Posted days by the clock: the meal that the plan leaves out, and the windows told of arrivals."""

from datetime import time, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from contractor.access import scope_of
from contractor.models import Branch
from contractor.travel import great_circle_miles, road_minutes
from jobs.models import Job
from scheduling.arrivals.queries.clock import visits_next
from scheduling.crew_days.queries.crew_days import crew_day_page
from scheduling.crew_days.queries.days import plan_of
from scheduling.models import WeekVersion
from scheduling.progress import DayFact, DayPlan, day_progress
from scheduling.weeks.shapes import CrewDayPage
from tests.people import Company
from tests.scheduling.houses import day, house_make, version_make, visit_make

pytestmark = pytest.mark.django_db

POSTED, DRAFT = WeekVersion.State.POSTED, WeekVersion.State.DRAFT
DRIVE = road_minutes(great_circle_miles((41.6005, -93.6091), (41.65, -93.7)))
SETUP = 30  # 60 minutes of one person, by two people


@pytest.fixture
def long_day(company: Company) -> Job:
    """North's Monday: 100 minutes of sealing, then 300 of blowing, at one house."""
    job = house_make(company, "Lot 1", {"air_seal": 100, "flat_blow": 300})
    version = version_make(company, POSTED)
    visit_make(version, company.north, day(0), job, {"air_seal": 100, "flat_blow": 300})
    return job


def page_of(company: Company) -> CrewDayPage:
    page = crew_day_page(scope=scope_of(company.cleo), crew_id=company.north.pk, day=day(0))
    assert page is not None
    return page


def after(minutes: int) -> time:
    return time(7 + minutes // 60, minutes % 60)


def test_the_page_s_clock_holds_the_meal_that_the_plan_s_minutes_leave_out(
    company: Company, long_day: Job
) -> None:
    page = page_of(company)
    assert page.meal is not None
    # The sealing ends more than two hours before noon, so the blowing is broken off then.
    assert page.meal.starts_at.time() == time(12)
    assert page.meal.job == long_day.pk
    assert page.stops[0].leave == after(DRIVE + SETUP + 400 + 30)
    assert page.end == after(2 * DRIVE + SETUP + 400 + 30)


def test_a_yard_s_own_meal_and_window_are_kept_to(company: Company, long_day: Job) -> None:
    Branch.objects.filter(pk=company.fairfield.pk).update(
        meal_minutes=45, meal_latest_minutes=240, window_before_minutes=0, window_after_minutes=60
    )
    page = page_of(company)
    assert page.meal is not None
    assert page.meal.starts_at.time() <= time(11)
    assert page.meal.ends_at - page.meal.starts_at == timedelta(minutes=45)
    window = page.stops[0].window
    arrive = page.times.visits[0].arrive_at
    assert window.from_at <= arrive
    assert arrive + timedelta(minutes=60) <= window.to_at < arrive + timedelta(minutes=90)


def test_a_page_tells_what_is_expected_by_what_was_said(company: Company, long_day: Job) -> None:
    page = page_of(company)
    planned = page.times.of(long_day.pk)
    late = planned.arrive_at + timedelta(minutes=50)
    plan: DayPlan = plan_of(page)
    said = day_progress(plan, [DayFact("a", "arrived", late, long_day.pk)])
    found = page.expected(said, late).of(long_day.pk)
    assert (found.arrive_at, found.is_arrival_said) == (late, True)
    assert found.leave_at == planned.leave_at + timedelta(minutes=50)


def test_windows_are_those_of_the_page_and_of_posted_weeks_alone(
    company: Company, long_day: Job
) -> None:
    other = house_make(company, "Lot 2", {"batt": 60}, site="Mill Road 2")
    visit_make(version_make(company, DRAFT), company.south, day(1), other, {"batt": 60})
    found = visits_next([long_day.pk, other.pk], day(0))
    assert {pk: visit.window for pk, visit in found.items()} == {
        long_day.pk: page_of(company).stops[0].window
    }
    assert visits_next([long_day.pk], day(1)) == {}


def test_statements_for_windows_do_not_grow_with_houses(company: Company, long_day: Job) -> None:
    def count(jobs: list[int]) -> int:
        with CaptureQueriesContext(connection) as queries:
            assert len(visits_next(jobs, day(0))) == len(jobs)
        return len(queries)

    jobs = [long_day.pk]
    before = count(jobs)
    version = WeekVersion.objects.get()
    for number in range(2, 5):
        job = house_make(company, f"Lot {number}", {"batt": 60}, site=f"Site {number}")
        visit_make(version, company.south, day(number - 1), job, {"batt": 60})
        jobs.append(job.pk)
    assert count(jobs) == before
    assert before <= 4
