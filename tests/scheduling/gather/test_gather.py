"""Rows become the problem that one would write down by hand, in a constant number of queries."""

from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from contractor.models import CrewMember, CrewPace, DayOff, DriveTime, Holiday, MemberSkill, Skill
from contractor.travel import great_circle_miles, road_minutes
from jobs.models import EstimateWarning, PromiseOutcome, Space, Step
from scheduling.gather.gathered import Gathered, GatherError, gather
from scheduling.gather.holdups import HoldUp
from scheduling.models import WeekVersion
from scheduling.planning.check import judge
from scheduling.planning.problem import Assignment, parse_problem, problem_to_json
from tests.people import MONDAY, NOW, TODAY, Company, attic_make, crew_make, lead_user
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


def read(company: Company, weeks: int = 1, today: date = TODAY) -> Gathered:
    return gather(branch=company.fairfield, first=WEEK, weeks=weeks, today=today)


def steps_of(gathered: Gathered) -> dict[str, tuple[float, ...]]:
    return {step.kind: step.risk for job in gathered.problem.jobs for step in job.steps}


def test_a_house_worked_out_by_hand(company: Company) -> None:
    job = house_make(company, "Lot 1", {"air_seal": 120, "flat_blow": 100}, flat_blow=2)
    problem = read(company).problem
    assert problem.days == tuple(day(n).isoformat() for n in range(5))
    drive = road_minutes(great_circle_miles((41.6005, -93.6091), (41.65, -93.7)))
    assert problem.places == ("yard", f"site-{job.site_id}")
    assert problem.travel_minutes == ((0, drive), (drive, 0))
    assert [crew.minutes for crew in problem.crews] == [(480,) * 5] * 2
    assert [crew.overtime for crew in problem.crews] == [(90,) * 5] * 2
    assert [(m.kind, m.available) for m in problem.machines] == [("blower", (1,) * 5)]
    (house,) = problem.jobs
    # Set-up of 60 person-minutes by two; promised Friday of the week after; the branch's costs.
    assert (house.setup_minutes, house.promised_day) == (30, 9)
    assert (house.late_cost, house.wait_cost, house.unplaced_cost) == (15000, 400, 120000)
    seal, blow = house.steps
    north, south = f"crew-{company.north.pk}", f"crew-{company.south.pk}"
    assert (seal.minutes, blow.minutes) == ({north: 120, south: 120}, {north: 100, south: 100})
    assert (seal.machine, blow.machine, blow.lag_days) == (None, "blower", 2)
    # Two people at 38 dollars: drive there, half of 30 minutes, an hour idle.
    assert seal.turned_away == round((drive + 15 + 60) * 2 * 3800 / 60)
    # 76 dollars an hour and 30 miles at 95 cents; a premium of half on 76 dollars.
    assert problem.costs.travel_minute == round((7600 + 2850) / 60) == 174
    assert problem.costs.overtime_minute == round(3800 / 60) == 63


def test_the_problem_satisfies_its_own_parser(company: Company) -> None:
    house_make(company, "Lot 1", {"air_seal": 120, "flat_blow": 100}, flat_blow=2)
    problem = read(company, weeks=2).problem
    assert parse_problem(problem_to_json(problem)) == problem


def test_days_gone_by_holidays_and_weekends_are_left_out(company: Company) -> None:
    Holiday.objects.create(branch=company.fairfield, date=day(3), name="Founders")
    gathered = read(company, weeks=2, today=day(1))
    assert gathered.days == tuple(day(n) for n in (1, 2, 4, 7, 8, 9, 10, 11))


def test_a_week_gone_by_is_a_clear_error(company: Company) -> None:
    with pytest.raises(GatherError, match=r"Fairfield yard has no working day left in week 2027"):
        read(company, today=day(5))


def test_a_crew_off_and_a_crew_short_of_a_person(company: Company) -> None:
    job = house_make(company, "Lot 1", {"air_seal": 120})
    Step.objects.filter(job=job).update(crew_minutes={"2": 160, "3": 120})
    DayOff.objects.create(crew=company.south, first_date=day(0), last_date=day(1))
    cora = CrewMember.objects.get(name="Cora Field")
    DayOff.objects.create(member=cora, first_date=day(2), last_date=day(2))
    sefa = CrewMember.objects.get(name="Sefa Stone")
    DayOff.objects.create(member=sefa, first_date=day(4), last_date=day(9))
    north, south = read(company).problem.crews
    assert south.minutes == (0, 0, 480, 480, 0)
    # Three people take 120 minutes, the two who are left 160: 480 x 120 / 160, 90 x 120 / 160.
    assert north.minutes == (480, 480, 360, 480, 480)
    assert north.overtime == (90, 90, 67, 90, 90)


def test_minutes_by_people_pace_and_skill(company: Company) -> None:
    job = house_make(company, "Lot 1", {"air_seal": 120, "net": 90})
    Step.objects.filter(job=job).update(crew_minutes={"2": 161, "4": 101})
    company.north.pace = Decimal("0.90")
    company.north.save()
    MemberSkill.objects.filter(member__crew=company.south, skill=Skill.BAFFLES).delete()
    (house,) = read(company).problem.jobs
    # Three people count as two where the table has no three: 161 x 0.9 = 144.9, rounded up.
    assert house.steps[0].minutes == {
        f"crew-{company.north.pk}": 145,
        f"crew-{company.south.pk}": 161,
    }
    assert house.steps[1].minutes == {f"crew-{company.north.pk}": 145}


def test_a_learned_pace_goes_before_the_one_set_by_hand_for_its_kind_only(
    company: Company,
) -> None:
    job = house_make(company, "Lot 1", {"air_seal": 120, "flat_blow": 90})
    Step.objects.filter(job=job).update(crew_minutes={"2": 200})
    company.north.pace = Decimal("0.90")
    company.north.save()
    CrewPace.objects.create(
        crew=company.north, step_kind="flat_blow", pace=Decimal("1.1501"), jobs=4, learned_at=NOW
    )
    (house,) = read(company).problem.jobs
    north, south = f"crew-{company.north.pk}", f"crew-{company.south.pk}"
    assert house.steps[0].minutes == {north: 180, south: 200}
    assert house.steps[1].minutes == {north: 231, south: 200}  # 230.02, rounded up


def test_a_crew_of_one_is_no_crew(company: Company) -> None:
    CrewMember.objects.filter(name="Sefa Stone").update(active=False)
    assert [crew.id for crew in read(company).problem.crews] == [f"crew-{company.north.pk}"]


def test_machines_away_and_measured_drives(company: Company) -> None:
    job = house_make(company, "Lot 1", {"flat_blow": 100})
    DayOff.objects.create(machine=company.blower, first_date=day(1), last_date=day(2))
    place = job.site.place
    DriveTime.objects.create(
        branch=company.fairfield, from_place="yard", to_place=place, minutes=41
    )
    problem = read(company).problem
    assert problem.machines[0].available == (1, 0, 0, 1, 1)
    assert problem.travel_minutes == ((0, 41), (41, 0))


def test_a_site_without_a_place_is_named(company: Company) -> None:
    job = house_make(company, "Lot 1", {"flat_blow": 100})
    job.site.latitude = job.site.longitude = None
    job.site.save()
    assert [drive.id for drive in read(company).guessed] == [job.site.place]


def test_a_promise_opens_its_day_and_closes_those_before(company: Company) -> None:
    job = house_make(company, "Lot 1", {"air_seal": 120, "flat_blow": 100})
    condition_make(job, ["flat_blow"], state="promised", promised_for=day(2))
    assert steps_of(read(company)) == {
        "air_seal": (0, 0, 0, 0, 0),
        # Of promises on no record four in five are kept, and more are by each day after.
        "flat_blow": (1, 1, 0.2, 0.128, 0.084),
    }


def test_an_open_warning_holds_its_step_and_the_job_is_told_apart(company: Company) -> None:
    job = house_make(company, "Lot 1", {"flat_blow": 100})
    space: Space = attic_make(job, company.cellulose)
    EstimateWarning.objects.create(
        space=space, code="W", text="Too heavy for the board", holds=True, step_kinds=["flat_blow"]
    )
    gathered = read(company)
    assert gathered.problem.jobs == ()
    (held,) = gathered.held
    assert (held.hold_up, held.sentence) == (HoldUp.ESTIMATE, "Too heavy for the board")


@pytest.mark.parametrize(
    ("owed_by", "ready", "hold_up"),
    [
        ("builder", day(30), HoldUp.BUILDER),
        ("inspector", day(30), HoldUp.INSPECTION),
        ("owner", day(30), HoldUp.OWNER),
        ("builder", None, HoldUp.NO_DATE),
    ],
)
def test_who_holds_a_job_that_is_not_ready(
    company: Company, owed_by: str, ready: date | None, hold_up: HoldUp
) -> None:
    job = house_make(company, "Lot 1", {"flat_blow": 100}, ready_date=ready)
    condition_make(job, ["flat_blow"], owed_by=owed_by)
    gathered = read(company)
    assert gathered.problem.jobs == ()
    assert [held.hold_up for held in gathered.held] == [hold_up]
    assert "chase cover" in gathered.held[0].sentence


def test_reports_that_are_too_often_untrue_hold_a_job_and_say_so(company: Company) -> None:
    job = house_make(company, "Lot 1", {"air_seal": 120})
    condition = condition_make(job, ["air_seal"], state="reported_done")
    PromiseOutcome.objects.bulk_create(
        PromiseOutcome(condition=condition, kind="report", said=TODAY, came=TODAY, found_true=False)
        for _ in range(40)
    )
    (held,) = read(company).held
    assert held.hold_up == HoldUp.BUILDER
    assert held.sentence.startswith("air sealing: all is reported done")


def test_no_crew_with_the_skill_holds_a_job(company: Company) -> None:
    house_make(company, "Lot 1", {"batt": 100})
    MemberSkill.objects.filter(skill=Skill.BATT).delete()
    (held,) = read(company).held
    assert (held.hold_up, held.sentence) == (HoldUp.NO_CREW, "batts: no crew has the skill")


def test_a_step_done_on_a_day_gone_by_leaves_its_lag(company: Company) -> None:
    job = house_make(company, "Lot 1", {"air_seal": 120, "flat_blow": 100}, flat_blow=3)
    posted = version_make(company, POSTED)
    visit_make(posted, company.north, day(0), job, {"air_seal": 120})
    # Done on Monday: three working days later is Thursday, the third of the days from Tuesday on.
    assert steps_of(read(company, today=day(1))) == {"flat_blow": (1, 1, 0, 0)}


def test_a_draft_of_a_day_gone_by_is_no_work(company: Company) -> None:
    job = house_make(company, "Lot 1", {"air_seal": 120})
    visit_make(version_make(company, DRAFT), company.north, day(0), job, {"air_seal": 120})
    gathered = read(company, today=day(1))
    assert steps_of(gathered) == {"air_seal": (0, 0, 0, 0)}
    assert gathered.plan.visits == ()


def test_a_begun_step_carries_what_is_left_on_its_crews_first_day(company: Company) -> None:
    job = house_make(company, "Lot 1", {"flat_blow": 500})
    condition_make(job, ["flat_blow"], state="promised", promised_for=day(20))
    posted = version_make(company, POSTED)
    visit_make(posted, company.north, day(0), job, {"flat_blow": 380})
    visit_make(posted, company.north, day(2), job, {"flat_blow": 120})
    DayOff.objects.create(crew=company.north, first_date=day(1), last_date=day(1))
    gathered = read(company, today=day(1))
    (house,) = gathered.problem.jobs
    north = f"crew-{company.north.pk}"
    assert (house.steps[0].minutes[north], house.steps[0].risk) == (120, (0, 0, 0, 0))
    assert gathered.problem.fixed == (Assignment(house.steps[0].id, north, 1),)
    assert gathered.problem.posted == gathered.problem.fixed
    assert judge(gathered.problem, gathered.plan).clean


def test_what_stands_in_later_weeks_is_not_planned_twice(company: Company) -> None:
    job = house_make(company, "Lot 1", {"air_seal": 60, "batt": 60, "flat_blow": 60}, batt=5)
    visit_make(version_make(company, DRAFT, NEXT_WEEK), company.north, day(8), job, {"batt": 60})
    # Batts on Tuesday of the week after want the sealing done five working days before.
    assert steps_of(read(company)) == {"air_seal": (0, 0, 1, 1, 1)}
    assert set(steps_of(read(company, weeks=2))) == {"air_seal", "batt", "flat_blow"}


def test_what_stands_in_earlier_weeks_counts_as_placed_there(company: Company) -> None:
    job = house_make(company, "Lot 1", {"air_seal": 60, "flat_blow": 60}, flat_blow=3)
    visit_make(version_make(company, POSTED), company.north, day(4), job, {"air_seal": 60})
    later = gather(branch=company.fairfield, first=NEXT_WEEK, weeks=1, today=TODAY)
    assert steps_of(later) == {"flat_blow": (1, 1, 0, 0, 0)}


def test_a_draft_counts_before_what_is_posted(company: Company) -> None:
    job = house_make(company, "Lot 1", {"air_seal": 60})
    north, south = f"crew-{company.north.pk}", f"crew-{company.south.pk}"
    visit_make(version_make(company, POSTED), company.north, day(1), job, {"air_seal": 60})
    visit_make(version_make(company, DRAFT), company.south, day(2), job, {"air_seal": 60})
    gathered = read(company)
    step = gathered.problem.jobs[0].steps[0].id
    assert gathered.problem.posted == (Assignment(step, north, 1),)
    assert [(visit.crew, visit.day) for visit in gathered.plan.visits] == [(south, 2)]


def test_a_job_on_the_plan_stays_in_the_problem_though_it_is_closed(company: Company) -> None:
    job = house_make(company, "Lot 1", {"air_seal": 60}, ready_date=day(40))
    condition_make(job, ["air_seal"])
    visit_make(version_make(company, POSTED), company.north, day(1), job, {"air_seal": 60})
    assert [found.rule for found in judge(*_parts(read(company))).violations] == [6]


def _parts(gathered: Gathered):  # type: ignore[no-untyped-def]
    return gathered.problem, gathered.plan


def test_crews_alike_in_people_keep_what_each_has_learned(company: Company) -> None:
    MemberSkill.objects.filter(member__crew=company.south).delete()
    twin = crew_make(
        company.fairfield, "Twin", lead_user("tom", company.fairfield), "Tess Wood", "Theo Lake"
    )
    twin.paces.create(step_kind="air_seal", pace=Decimal("1.5"), jobs=5, learned_at=NOW)
    house_make(company, "Lot 1", {"air_seal": 120})
    (house,) = read(company).problem.jobs
    assert house.steps[0].minutes == {f"crew-{company.north.pk}": 120, f"crew-{twin.pk}": 180}


def test_the_number_of_queries_does_not_grow(company: Company) -> None:
    def count() -> int:
        with CaptureQueriesContext(
            connection,
        ) as queries:
            read(company, weeks=2)
        return len(queries)

    def add(number: int) -> None:
        job = house_make(company, f"Lot {number}", {"air_seal": 60}, site=f"Site {number}")
        condition_make(job, ["air_seal"], state="seen_done")
        visit_make(posted, company.north, day(number), job, {"air_seal": 60})

    posted = version_make(company, POSTED)
    add(1)
    before = count()
    for number in range(2, 5):
        add(number)
    assert count() == before
    assert before <= 18


def test_another_yards_work_is_not_read(company: Company) -> None:
    house_make(company, "Lot 1", {"air_seal": 60})
    gathered = gather(branch=company.lowton, first=WEEK, weeks=1, today=MONDAY)
    assert gathered.problem.jobs == ()
    assert [crew.id for crew in gathered.problem.crews] == [f"crew-{company.lowton_crew.pk}"]
