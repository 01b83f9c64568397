"""On which days jobs stand on the plan, as the office and as the builders see it."""

from datetime import date

import pytest

from jobs.models import Job
from jobs.plan_ports import PLANNED_DAYS, planned_days
from jobs.whereabouts import PlannedDay, PlannedVisit, days_by_job, step_days, visits
from scheduling.models import WeekVersion
from scheduling.weeks.queries.planned import planned_days as ask
from scheduling.weeks.queries.planned import posted_days
from tests.pages import statements
from tests.people import Company
from tests.scheduling.houses import NEXT_WEEK, day, house_make, version_make, visit_make

POSTED, DRAFT = WeekVersion.State.POSTED, WeekVersion.State.DRAFT


@pytest.fixture
def house(company: Company) -> Job:
    return house_make(company, "Lot 1", {"net": 60, "flat_blow": 120})


def test_the_plan_answers_where_jobs_stand() -> None:
    assert PLANNED_DAYS.ask is ask


def test_nothing_planned(house: Job) -> None:
    assert planned_days(Job.objects.all()) == []
    assert posted_days([house.pk]) == {}


def test_a_posted_week_and_the_draft_that_changes_it(company: Company, house: Job) -> None:
    net, blow = house.steps.order_by("position")
    visit_make(version_make(company, POSTED), company.north, day(0), house, {"net": 60})
    visit_make(version_make(company, DRAFT), company.south, day(2), house, {"flat_blow": 120})
    assert planned_days(Job.objects.all()) == [
        PlannedDay(house.pk, net.pk, "net", day(0), "North", "2027-W09", True, True),
        PlannedDay(house.pk, blow.pk, "flat_blow", day(2), "South", "2027-W09", False, False),
    ]
    assert posted_days([house.pk]) == {house.pk: [day(0)]}


def test_replaced_weeks_and_other_jobs_are_not_there(company: Company, house: Job) -> None:
    other = house_make(company, "Lot 2", {"net": 60})
    visit_make(
        version_make(company, WeekVersion.State.REPLACED), company.north, day(0), house, {"net": 60}
    )
    visit_make(version_make(company, POSTED), company.north, day(1), other, {"net": 60})
    assert planned_days(Job.objects.filter(pk=house.pk)) == []


def test_one_statement_whatever_the_number(company: Company, house: Job) -> None:
    posted = version_make(company, POSTED, NEXT_WEEK)
    for n in range(3, 8):
        other = house_make(company, f"Lot {n}", {"net": 60})
        visit_make(posted, company.north, day(7), other, {"net": 60})
    with statements() as seen:
        assert len(planned_days(Job.objects.all())) == 5
    assert seen() == 1
    assert house.pk


def planned(step: int, on: date, *, being_changed: bool = False) -> PlannedDay:
    return PlannedDay(1, step, "net", on, "North", "2027-W09", being_changed, being_changed)


def test_a_step_s_day_is_its_first_to_come_as_the_office_means_it() -> None:
    days = [
        planned(7, day(0)),
        planned(7, day(3)),
        planned(7, day(4)),
        planned(8, day(1), being_changed=True),
    ]
    assert step_days(days, today=day(1)) == {7: day(3)}
    assert step_days(days, today=day(5)) == {}
    assert days_by_job(days) == {1: days}


def test_the_steps_of_one_day_and_crew_make_one_visit() -> None:
    days = [planned(7, day(0)), planned(8, day(0)), planned(9, day(1))]
    first, second = visits(days)
    assert first == PlannedVisit(day(0), "North", "2027-W09", False, False, ("net", "net"))
    assert second.day == day(1)
