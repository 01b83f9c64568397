"""Whatever facts change, the exported plan is clean against the exported problem."""

import random
from datetime import date, timedelta

import pytest

from contractor.models import Crew, CrewMember, DayOff, Holiday, Machine, MemberSkill
from contractor.workdays import IsoWeek
from jobs.models import Condition, Job, Step
from scheduling.gather.feasible import feasible_plan
from scheduling.gather.gathered import Gathered, gather
from scheduling.models import Stop, WeekVersion
from scheduling.planning.check import judge
from scheduling.planning.placing import placed_steps
from scheduling.planning.problem import parse_problem, problem_to_json
from scheduling.weeks.services.moves import stop_move, stop_place
from scheduling.weeks.services.refusals import NotThere, StopMoveRefused
from tests.people import ACTOR, MONDAY, NOW, TODAY, Company
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


def read(company: Company, first: IsoWeek, weeks: int, today: date) -> Gathered:
    return gather(branch=company.fairfield, first=first, weeks=weeks, today=today)


def assert_clean(gathered: Gathered) -> None:
    problem = parse_problem(problem_to_json(gathered.problem))
    found = judge(problem, feasible_plan(gathered).plan)
    assert found.violations == ()


def fill(company: Company, chance: random.Random) -> None:
    """Place some houses by hand over two weeks, as an office would, and post some weeks."""
    for number in range(8):
        minutes = {
            "air_seal": chance.choice([60, 150]),
            "batt": chance.choice([120, 300]),
            "flat_blow": chance.choice([90, 200, 620]),
        }
        job = house_make(company, f"Lot {number}", minutes, site=f"Site {number % 4}", batt=1)
        crew = chance.choice([company.north, company.south])
        for _ in range(4):
            try:
                stop_place(
                    actor=ACTOR,
                    branch=company.fairfield,
                    job_id=job.pk,
                    crew=crew,
                    day=day(chance.choice([0, 1, 2, 3, 4, 7, 8, 9])),
                    expected={"2027-W09": _revision(9), "2027-W10": _revision(10)},
                    now=NOW,
                    today=TODAY,
                )
            except (StopMoveRefused, NotThere):
                continue
    drafts = WeekVersion.objects.filter(state=DRAFT)
    if chance.random() < 0.7:
        drafts.filter(week__iso_week=9).update(state=POSTED, posted_at=NOW)
    if chance.random() < 0.3:
        drafts.filter(week__iso_week=10).update(state=POSTED, posted_at=NOW)


def _revision(number: int) -> int:
    weeks = WeekVersion.objects.filter(week__iso_week=number).values_list("week__revision")
    return weeks[0][0] if weeks else 0


def change(company: Company, chance: random.Random) -> None:
    """Change one fact, any fact."""
    job = chance.choice(list(Job.objects.all()))
    step = chance.choice(list(job.steps.all()))
    on = day(chance.choice([0, 1, 2, 3, 4, 7, 8, 9, 10, 11]))
    north, south = company.north, company.south
    kind = chance.randrange(11)
    if kind == 0:
        Job.objects.filter(pk=job.pk).update(state=chance.choice(Job.State.values))
    elif kind == 1:
        Condition.objects.filter(job=job).delete()
        condition_make(job, [step.kind], state="promised", promised_for=on)
    elif kind == 2:
        figure = chance.choice([45, 100, 333, 700])
        Step.objects.filter(pk=step.pk).update(crew_minutes={"2": figure, "3": figure})
    elif kind == 3:
        DayOff.objects.create(crew=chance.choice([north, south]), first_date=on, last_date=on)
    elif kind == 4:
        member = chance.choice(list(CrewMember.objects.filter(crew__in=[north, south])))
        DayOff.objects.create(member=member, first_date=on, last_date=on + timedelta(days=1))
    elif kind == 5:
        Holiday.objects.get_or_create(branch=company.fairfield, date=on, name="closed")
    elif kind == 6:
        Machine.objects.filter(pk=company.blower.pk).update(active=chance.random() < 0.5)
    elif kind == 7:
        rows = MemberSkill.objects.filter(member__crew=chance.choice([north, south]))
        rows.filter(skill=chance.choice(["batt", "blow"])).delete()
    elif kind == 8:
        Crew.objects.filter(pk=north.pk).update(pace=chance.choice(["0.80", "1.00", "1.30"]))
    elif kind == 9:
        Step.objects.filter(pk=step.pk).update(lag_days=chance.randrange(4))
    else:
        Step.objects.filter(pk=step.pk).update(needed=False)


@pytest.mark.parametrize("seed", range(10))
def test_the_export_is_clean_whatever_changes(company: Company, seed: int) -> None:
    chance = random.Random(seed)
    fill(company, chance)
    for _ in range(4):
        change(company, chance)
        today = chance.choice([TODAY, MONDAY, day(1), day(3), day(4)])
        for first, weeks in ((WEEK, 2), (WEEK, 1), (NEXT_WEEK, 1), (WEEK, 3)):
            assert_clean(read(company, first, weeks, today))


def test_nothing_falls_out_where_nothing_changed(company: Company) -> None:
    fill(company, random.Random(1))
    gathered = read(company, WEEK, 2, TODAY)
    assert placed_steps(gathered.plan)
    assert feasible_plan(gathered).notes == ()
    assert feasible_plan(gathered).plan == gathered.plan


def test_days_that_pass_take_nothing_out(company: Company) -> None:
    fill(company, random.Random(2))
    WeekVersion.objects.filter(state=DRAFT).update(state=POSTED, posted_at=NOW)
    for number in (0, 1, 2, 3, 4, 7, 8, 9, 10, 11):
        gathered = read(company, WEEK, 2, day(number))
        standing = feasible_plan(gathered)
        assert standing.notes == ()
        assert judge(gathered.problem, standing.plan).clean


def test_a_begun_step_whose_rest_was_discarded_is_put_back(company: Company) -> None:
    job = house_make(company, "Lot 1", {"flat_blow": 500})
    other = house_make(company, "Lot 2", {"air_seal": 400})
    visit_make(version_make(company, POSTED), company.north, day(4), job, {"flat_blow": 400})
    draft = version_make(company, DRAFT, NEXT_WEEK)
    visit_make(draft, company.north, day(7), other, {"air_seal": 400})
    gathered = read(company, NEXT_WEEK, 1, day(5))
    north = f"crew-{company.north.pk}"
    step = job.steps.get().plan_id
    assert [(entry.step, entry.crew, entry.day) for entry in gathered.problem.fixed] == [
        (step, north, 0)
    ]
    standing = feasible_plan(gathered)
    assert judge(gathered.problem, standing.plan).clean
    assert placed_steps(standing.plan)[step].days == (0,)
    assert any("has begun and was put back" in note for note in standing.notes)


def test_a_move_on_stale_facts_leaves_other_troubles_alone(company: Company) -> None:
    """A crew-day that facts broke does not keep the office from moving another."""
    broken = house_make(company, "Lot 1", {"air_seal": 60})
    good = house_make(company, "Lot 2", {"air_seal": 60})
    posted = version_make(company, POSTED)
    visit_make(posted, company.north, day(1), broken, {"air_seal": 60})
    stop = visit_make(posted, company.south, day(1), good, {"air_seal": 60})
    condition_make(broken, ["air_seal"], state="promised", promised_for=day(30))
    stop_move(
        actor=ACTOR,
        branch=company.fairfield,
        stop_id=stop.pk,
        crew=company.south,
        day=day(2),
        expected={},
        now=NOW,
        today=TODAY,
    )
    drafted = Stop.objects.filter(crew_day__version__state=DRAFT)
    assert {(stop.job, stop.crew_day.date) for stop in drafted} == {
        (broken, day(1)),
        (good, day(2)),
    }
