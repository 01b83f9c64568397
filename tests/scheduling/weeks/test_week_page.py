"""What the week page is told: stops, drives, marks, shelf, differences; in constant statements."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from contractor.access import Scope, scope_of
from contractor.models import DayOff, Holiday, MemberSkill
from contractor.travel import great_circle_miles, road_minutes
from contractor.workdays import IsoWeek
from jobs.models import EstimateWarning, Job
from scheduling.gather.holdups import HoldUp
from scheduling.models import PlanningRun, Stop, WeekVersion
from scheduling.weeks.queries.week import branches_visible, week_page
from scheduling.weeks.shapes import WeekPage
from tests.people import NOW, TODAY, Company, attic_make
from tests.scheduling.houses import (
    NEXT_WEEK,
    WEEK,
    condition_make,
    day,
    house_make,
    version_make,
    visit_make,
)

POSTED, DRAFT = WeekVersion.State.POSTED, WeekVersion.State.DRAFT


def page(company: Company, week: IsoWeek = WEEK, weeks: int = 1, **options: bool) -> WeekPage:
    return week_page(branch=company.fairfield, week=week, weeks=weeks, today=TODAY, **options)


@pytest.fixture
def lot(company: Company) -> Job:
    return house_make(company, "Lot 1", {"air_seal": 120, "flat_blow": 100})


@pytest.fixture
def stop(company: Company, lot: Job) -> Stop:
    posted = version_make(company, POSTED)
    return visit_make(posted, company.north, day(1), lot, {"air_seal": 120, "flat_blow": 100})


def test_a_crew_day_adds_up(company: Company, stop: Stop) -> None:
    stop.crew_day.machines.add(company.blower)
    shown = page(company)
    north, south = shown.rows
    cell = north.cells[1]
    (strip,) = cell.stops
    drive = road_minutes(great_circle_miles((41.6005, -93.6091), (41.65, -93.7)))
    assert (strip.drive_minutes, cell.home_minutes) == (drive, drive)
    assert (strip.setup_minutes, strip.work_minutes) == (30, 220)
    assert cell.used_minutes == 2 * drive + 250
    assert cell.free_minutes == 480 - cell.used_minutes
    assert (cell.over_minutes, cell.overtime_minutes) == (0, 90)
    assert cell.machines == ("Blower 1",)
    assert [(part.name, part.minutes, part.of_minutes) for part in strip.parts] == [
        ("air sealing", 120, 120),
        ("flat blow", 100, 100),
    ]
    assert (strip.title, strip.builder) == ("Quarry Lane 1, Lot 1", "Hazel Homes")
    assert [cell.stops for cell in south.cells] == [()] * 5
    assert shown.longest_minutes == 480


def test_days_heads_and_days_off(company: Company, stop: Stop) -> None:
    Holiday.objects.create(branch=company.fairfield, date=day(3), name="Founders")
    DayOff.objects.create(crew=company.south, first_date=day(0), last_date=day(0))
    shown = page(company, weeks=2)
    assert len(shown.days) == 10
    assert [head.date for head in shown.days if head.closed] == [day(3)]
    assert [cell.is_off for cell in shown.rows[1].cells] == [n in (0, 3) for n in range(10)]
    assert [(head.label, head.has_draft, head.has_posted) for head in shown.heads] == [
        ("2027-W09", False, True),
        ("2027-W10", False, False),
    ]
    assert shown.revisions == {"2027-W09": 0, "2027-W10": 0}


def test_a_week_gone_by_is_shown_without_a_shelf(company: Company, stop: Stop) -> None:
    shown = week_page(branch=company.fairfield, week=WEEK, today=day(20))
    assert shown.rows[0].cells[1].stops[0].job_id == stop.job_id
    assert all(head.is_past for head in shown.days)
    assert shown.shelf == ()


def test_a_draft_shows_what_differs_from_the_posted(company: Company, lot: Job, stop: Stop) -> None:
    other = house_make(company, "Lot 2", {"air_seal": 60})
    visit_make(stop.crew_day.version, company.south, day(2), other, {"air_seal": 60})
    draft = version_make(company, DRAFT)
    visit_make(draft, company.south, day(2), other, {"air_seal": 60})
    visit_make(draft, company.south, day(2), lot, {"air_seal": 120, "flat_blow": 100})
    shown = page(company)
    cells = {
        (row.crew.name, cell.date): cell for row in shown.rows for cell in row.cells if cell.differs
    }
    assert set(cells) == {("North", day(1)), ("South", day(2))}
    assert [strip.differs for strip in cells["South", day(2)].stops] == [False, True]
    # The stop went from one crew and day to another: one change.
    assert shown.heads[0].changes == 1
    posted = page(company, posted=True)
    assert posted.rows[0].cells[1].stops[0].stop_id == stop.pk
    assert posted.heads[0].changes == 0


def test_a_week_never_posted_differs_in_nothing(company: Company, lot: Job) -> None:
    visit_make(version_make(company, DRAFT), company.north, day(1), lot, {"air_seal": 120})
    shown = page(company)
    assert shown.heads[0].changes == 0
    assert not shown.rows[0].cells[1].stops[0].differs


@pytest.mark.parametrize(
    ("state", "dates", "told"),
    [
        ("seen_done", (None, day(0)), ("solid", 1.0)),
        ("promised", (day(1), day(0)), ("dashed", 0.8)),
        ("promised", (day(3), day(0)), ("hatched", 0.0)),
        ("owed", (None, None), ("hatched", 0.25)),
    ],
)
def test_readiness_is_told_by_line_and_words(
    company: Company,
    stop: Stop,
    state: str,
    dates: tuple[date | None, date | None],
    told: tuple[str, float],
) -> None:
    lot, (promised_for, ready) = stop.job, dates
    Job.objects.filter(pk=lot.pk).update(ready_date=ready)
    condition_make(lot, ["air_seal"], state=state, promised_for=promised_for)
    (strip,) = page(company).rows[0].cells[1].stops
    assert (strip.line, strip.chance) == told
    assert str(strip.marks.count) == ("1 of 1" if state == "seen_done" else "0 of 1")
    assert len(strip.marks.open) == (0 if state == "seen_done" else 1)


def test_late_days_count_from_the_promise(company: Company, lot: Job) -> None:
    Job.objects.filter(pk=lot.pk).update(promised_date=day(2))
    posted = version_make(company, POSTED, NEXT_WEEK)
    work = {"air_seal": 120, "flat_blow": 100}
    visit_make(posted, company.north, day(7), lot, work)
    (strip,) = page(company, NEXT_WEEK).rows[0].cells[0].stops
    # Promised for Wednesday, done on Monday: Thursday, Friday, Monday are late.
    assert strip.late_days == 3


def test_the_shelf_groups_by_what_holds_up(company: Company, lot: Job) -> None:
    visit_make(version_make(company, DRAFT), company.north, day(1), lot, {"air_seal": 120})
    far_off = day(40)
    for unit, party, ready in (
        ("Lot 2", "builder", far_off),
        ("Lot 3", "inspector", far_off),
        ("Lot 4", "owner", far_off),
        ("Lot 5", "builder", None),
    ):
        job = house_make(company, unit, {"batt": 60}, ready_date=ready)
        condition_make(job, ["batt"], owed_by=party)
    warned = house_make(company, "Lot 6", {"flat_blow": 60})
    EstimateWarning.objects.create(
        space=attic_make(warned, company.cellulose),
        code="W",
        text="Too heavy for the board",
        holds=True,
        step_kinds=["flat_blow"],
    )
    house_make(company, "Lot 7", {"net": 60})
    MemberSkill.objects.filter(skill="baffles").delete()
    groups = page(company).shelf
    assert {group.hold_up: [job.title[-5:] for job in group.jobs] for group in groups} == {
        HoldUp.BUILDER: ["Lot 2"],
        HoldUp.INSPECTION: ["Lot 3"],
        HoldUp.OWNER: ["Lot 4"],
        HoldUp.NO_ROOM: ["Lot 1"],
        HoldUp.NO_DATE: ["Lot 5"],
        HoldUp.ESTIMATE: ["Lot 6"],
        HoldUp.NO_CREW: ["Lot 7"],
    }
    (half_placed,) = groups[3].jobs
    assert (half_placed.steps, half_placed.minutes) == (("flat blow",), 100)
    assert [str(one) for one in groups[5].jobs[0].why] == ["Too heavy for the board"]


def test_the_run_under_way_and_the_newest_proposal(company: Company) -> None:
    def run(state: str, **values: object) -> PlanningRun:
        return PlanningRun.objects.create(
            branch=company.fairfield,
            first_monday=day(0),
            problem={},
            state=state,
            **{"asked_at": NOW, **values},
        )

    run("finished", verdict="accepted", asked_at=NOW + timedelta(hours=3))
    run("finished")
    newest = run("stopped", asked_at=NOW + timedelta(hours=1))
    under_way = run("running", asked_at=NOW + timedelta(hours=2))
    shown = page(company)
    assert (shown.run, shown.proposal) == (under_way, newest)


def test_a_stop_of_a_job_called_off_is_still_shown(company: Company, stop: Stop) -> None:
    Job.objects.update(state="called_off")
    assert page(company).rows[0].cells[1].stops[0].title == "Quarry Lane 1, Lot 1"


def test_a_crew_that_left_is_shown_as_long_as_weeks_name_it(company: Company, stop: Stop) -> None:
    company.north.active = False
    company.north.save()
    assert [row.crew.name for row in page(company).rows] == ["South", "North"]


def test_sites_to_be_asked_for_are_named(company: Company, lot: Job) -> None:
    lot.site.latitude = lot.site.longitude = None
    lot.site.save()
    assert page(company).guessed == ("Quarry Lane 1",)


def test_statements_do_not_grow_with_rows(company: Company) -> None:
    def count() -> int:
        branch = branches_visible(Scope(all_branches=True)).get(pk=company.fairfield.pk)
        with CaptureQueriesContext(connection) as queries:
            week_page(branch=branch, week=WEEK, weeks=2, today=TODAY)
        return len(queries)

    def add(number: int) -> None:
        job = house_make(company, f"Lot {number}", {"air_seal": 60}, site=f"Site {number}")
        condition_make(job, ["air_seal"], state="seen_done")
        attic_make(job, company.cellulose)
        stop = visit_make(posted, company.north, day(number), job, {"air_seal": 60})
        stop.crew_day.machines.add(company.blower)

    posted = version_make(company, POSTED)
    add(1)
    before = count()
    for number in range(2, 5):
        add(number)
    assert count() == before
    assert before <= 17


def test_who_sees_which_branches(company: Company) -> None:
    assert set(branches_visible(scope_of(company.olive))) == {company.fairfield, company.lowton}
    assert set(branches_visible(scope_of(company.omar))) == {company.fairfield}
    assert set(branches_visible(scope_of(company.cleo))) == set()
