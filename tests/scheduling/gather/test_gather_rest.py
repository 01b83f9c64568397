"""What is left of a day becomes a problem, against minutes added up by hand."""

from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from contractor.models import Crew, DriveTime
from jobs.models import Condition, Job
from scheduling.gather.feasible import feasible_plan
from scheduling.gather.gathered import Gathered, gather
from scheduling.models import Fact, WeekVersion
from scheduling.planning.check import judge
from scheduling.planning.problem import Assignment
from tests.people import MONDAY, Company, machine_make
from tests.scheduling.houses import WEEK, condition_make, day, house_make, version_make, visit_make

SEVEN = datetime.fromisoformat("2027-03-01T07:00-06:00")
NORTH_SITE, SOUTH_SITE, SPARE_SITE = "Quarry Lane 1", "Mill Road 2", "Ridge 3"
pytestmark = pytest.mark.django_db


def clock(at: str) -> datetime:
    hour, minute = map(int, at.split(":"))
    return SEVEN + timedelta(hours=hour - 7, minutes=minute)


def say(crew: Crew, at: str, kind: str, job: Job, step: str = "", **what: Any) -> Fact:
    """A fact as it stands when everything has come in, without what follows from it."""
    moment = clock(at)
    return Fact.objects.create(
        id=uuid4(),
        kind=kind,
        crew=crew,
        day=MONDAY,
        job=job,
        step_kind=step,
        what=what,
        tapped_at=moment,
        happened_at=moment,
        received_at=moment,
        who="Cleo",
    )


def rest(company: Company, at: str) -> Gathered:
    return gather(branch=company.fairfield, first=WEEK, weeks=1, today=MONDAY, rest_at=clock(at))


class Monday:
    """North does Lot 1 and Lot 2 of one site; South a house across town; one blower."""

    def __init__(self, company: Company) -> None:
        self.company = company
        company.fairfield.refresh_from_db()
        self.lot = house_make(company, "Lot 1", {"air_seal": 120, "flat_blow": 90})
        self.second = house_make(company, "Lot 2", {"batt": 60})
        self.mill = house_make(company, "", {"batt": 200}, site=SOUTH_SITE)
        self.version = version_make(company, WeekVersion.State.POSTED)
        both = {"air_seal": 120, "flat_blow": 90}
        visit_make(self.version, company.north, MONDAY, self.lot, both)
        visit_make(self.version, company.north, MONDAY, self.second, {"batt": 60})
        visit_make(self.version, company.south, MONDAY, self.mill, {"batt": 200})
        for there, minutes in ((self.lot, 20), (self.mill, 25)):
            self._drive(company, "yard", there.site.place, minutes)
        self._drive(company, self.lot.site.place, self.mill.site.place, 35)
        self.crew = f"crew-{company.north.pk}"
        self.other = f"crew-{company.south.pk}"

    def _drive(self, company: Company, start: str, end: str, minutes: int) -> None:
        for a, b in ((start, end), (end, start)):
            DriveTime.objects.create(
                branch=company.fairfield, from_place=a, to_place=b, minutes=minutes
            )


@pytest.fixture
def monday(company: Company) -> Monday:
    return Monday(company)


def steps(gathered: Gathered) -> set[str]:
    return {step.id for job in gathered.problem.jobs for step in job.steps}


def step_of(job: Job, kind: str) -> str:
    return job.steps.get(kind=kind).plan_id


def test_a_crew_in_the_middle_of_its_day(monday: Monday) -> None:
    """Air sealing since 7:50, 120 minutes of it, then 90 of blowing: free at 11:20 at that house.

    From 7:00 to 11:20 are 260 of the 480 minutes: 220 are left, and it drives off from there.
    """
    north = monday.company.north
    say(north, "7:00", "set_out", monday.lot)
    say(north, "7:50", "started", monday.lot, "air_seal")
    gathered = rest(monday.company, "8:20")
    crew = gathered.problem.crew_by_id[monday.crew]
    place = monday.lot.site.place
    assert crew.minutes == (220, 480, 480, 480, 480)
    assert crew.overtime == (90,) * 5
    assert crew.starts == (place, *("yard",) * 4)
    # What it is at stays with it and is as good as done; nobody else comes there today.
    assert steps(gathered) == {step_of(monday.second, "batt")}


def test_a_crew_that_nobody_heard_of_follows_its_plan(monday: Monday) -> None:
    """South should be at its house until 7:00 + 25 + 30 + 200 minutes: 225 minutes are left."""
    say(monday.company.north, "8:00", "turned_away", monday.lot)
    gathered = rest(monday.company, "8:10")
    south = gathered.problem.crew_by_id[monday.other]
    assert south.minutes[0] == 480 - (25 + 30 + 200)
    assert south.starts[0] == monday.mill.site.place
    assert step_of(monday.mill, "batt") not in steps(gathered)


def test_before_the_day_begins_all_of_it_is_left(monday: Monday) -> None:
    gathered = rest(monday.company, "6:30")
    whole = gather(branch=monday.company.fairfield, first=WEEK, weeks=1, today=MONDAY)
    assert gathered.problem.crews == whole.problem.crews
    assert gathered.plan == whole.plan


def test_the_meal_is_taken_off_once_it_is_over(monday: Monday) -> None:
    branch = monday.company.fairfield
    branch.meal_minutes, branch.meal_latest_minutes = 30, 300
    branch.save()
    say(monday.company.north, "13:00", "turned_away", monday.second)
    say(monday.company.north, "12:30", "finished", monday.lot, "air_seal")
    say(monday.company.north, "12:40", "finished", monday.lot, "flat_blow")
    crew = rest(monday.company, "13:00").problem.crew_by_id[monday.crew]
    # Six hours gone, half an hour of them the meal.
    assert crew.minutes[0] == 480 - (360 - 30)


def test_the_house_that_turned_a_crew_away_is_closed_today(monday: Monday) -> None:
    say(monday.company.north, "8:00", "turned_away", monday.lot, why="locked")
    gathered = rest(monday.company, "8:05")
    (lot,) = (job for job in gathered.problem.jobs if job.id == monday.lot.plan_id)
    assert [step.risk[0] for step in lot.steps] == [1.0, 1.0]
    assert all(step.risk[1] < 1 for step in lot.steps)
    # It fell out of today, and the rest of today goes on.
    standing = feasible_plan(gathered)
    assert [stop.job for visit in standing.plan.visits for stop in visit.stops] == [
        monday.second.plan_id
    ]
    assert judge(gathered.problem, standing.plan).clean


def test_what_was_missing_holds_its_steps_until_somebody_promises_it(monday: Monday) -> None:
    """Whether or not the condition went back to owed by then."""
    chase = condition_make(monday.lot, ["flat_blow"], state=Condition.State.REPORTED_DONE)
    say(monday.company.north, "8:00", "turned_away", monday.lot, missing=[chase.pk])

    def risks() -> list[tuple[float, ...]]:
        jobs = rest(monday.company, "8:05").problem.jobs
        return [step.risk for job in jobs if job.id == monday.lot.plan_id for step in job.steps]

    seal, blow = risks()
    assert set(blow) == {1.0}
    assert seal[0] == 1.0
    assert seal[1] < 1
    Condition.objects.filter(pk=chase.pk).update(
        state="promised", promised_for=day(2), moved_at=clock("8:30")
    )
    seal, blow = risks()
    assert blow[:2] == (1.0, 1.0)
    assert blow[3] < 1


def test_a_machine_stays_on_its_truck(monday: Monday) -> None:
    """North has the only blower with it: South cannot blow today, and can tomorrow."""
    company = monday.company
    spare = house_make(company, "", {"flat_blow": 60}, site=SPARE_SITE)
    say(company.north, "8:00", "turned_away", monday.lot)
    entry = Assignment(step_of(spare, "flat_blow"), monday.other, 0)
    assert entry in rest(company, "8:05").problem.barred
    assert {one.crew for one in rest(company, "8:05").problem.barred} == {monday.other}
    # A second one stands in the yard; South has left the yard without it.
    machine_make(company.fairfield, "Blower 2")
    assert entry in rest(company, "8:05").problem.barred


def test_a_crew_in_the_yard_may_load_a_machine_that_is_there(monday: Monday) -> None:
    monday.version.crew_days.filter(crew=monday.company.south).delete()
    say(monday.company.north, "8:00", "turned_away", monday.lot)
    spare = house_make(monday.company, "", {"flat_blow": 60}, site=SPARE_SITE)
    entry = Assignment(step_of(spare, "flat_blow"), monday.other, 0)
    assert entry in rest(monday.company, "8:05").problem.barred
    machine_make(monday.company.fairfield, "Blower 2")
    assert entry not in rest(monday.company, "8:05").problem.barred


def test_what_a_crew_left_goes_on_with_it_on_its_next_day(monday: Monday) -> None:
    """60 of 120 minutes done and some left: half of the step, tomorrow, by the same crew."""
    north = monday.company.north
    say(north, "7:50", "started", monday.lot, "air_seal")
    say(north, "8:50", "finished", monday.lot, "air_seal", minutes=60, whole=False)
    say(north, "8:51", "turned_away", monday.lot)
    gathered = rest(monday.company, "8:55")
    seal = step_of(monday.lot, "air_seal")
    (step,) = (s for job in gathered.problem.jobs for s in job.steps if s.id == seal)
    assert step.minutes[monday.crew] == 60
    assert Assignment(seal, monday.crew, 1) in gathered.problem.fixed
    assert judge(gathered.problem, feasible_plan(gathered).plan).clean


def test_a_draft_does_not_take_away_what_is_begun(monday: Monday) -> None:
    """The office drafted Lot 1 for South before North began it there."""
    company = monday.company
    draft = version_make(company, WeekVersion.State.DRAFT)
    visit_make(draft, company.south, MONDAY, monday.lot, {"air_seal": 120, "flat_blow": 90})
    visit_make(draft, company.south, MONDAY, monday.second, {"batt": 60})
    say(company.north, "7:50", "started", monday.lot, "air_seal")
    gathered = rest(company, "8:00")
    assert step_of(monday.lot, "air_seal") not in steps(gathered)
    assert [(v.crew, [s.job for s in v.stops]) for v in gathered.plan.visits] == [
        (monday.other, [monday.second.plan_id])
    ]


def test_facts_do_not_cost_more_queries(monday: Monday) -> None:
    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as seen:
            rest(monday.company, "9:00")
        return len(seen)

    say(monday.company.north, "7:50", "started", monday.lot, "air_seal")
    rest(monday.company, "9:00")  # the branch's costs are read once
    few = queries()
    for number in range(10):
        say(monday.company.north, f"8:{number:02d}", "note", monday.lot)
        job = house_make(monday.company, f"Lot {number + 10}", {"batt": 10})
        visit_make(monday.version, monday.company.south, MONDAY, job, {"batt": 10})
    say(monday.company.south, "8:30", "turned_away", monday.mill)
    assert queries() == few


def test_a_visit_that_turned_a_crew_away_was_not_done_on_the_days_after(monday: Monday) -> None:
    """Air sealing was finished before; the blow was not, whatever the posted week holds."""
    say(monday.company.north, "9:50", "finished", monday.lot, "air_seal")
    say(monday.company.north, "10:00", "turned_away", monday.lot)
    tuesday = gather(branch=monday.company.fairfield, first=WEEK, weeks=1, today=day(1))
    assert steps(tuesday) == {step_of(monday.lot, "flat_blow")}
    # Let in after all, it was done.
    say(monday.company.north, "10:30", "started", monday.lot, "flat_blow")
    tuesday = gather(branch=monday.company.fairfield, first=WEEK, weeks=1, today=day(1))
    assert steps(tuesday) == set()
