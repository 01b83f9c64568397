"""Moves by hand: judged before they are saved, drafted from what is posted, guarded by revision."""

from datetime import date

import pytest

from contractor.models import Crew, Event, MemberSkill, Skill
from jobs.models import Job
from scheduling.gather.gathered import gather
from scheduling.models import CrewDay, Stop, Week, WeekVersion
from scheduling.planning.check import judge
from scheduling.weeks.services.moves import Moved, stop_move, stop_place, stop_take_off
from scheduling.weeks.services.refusals import NotThere, StopMoveRefused, WeekChanged
from tests.people import ACTOR, NOW, TODAY, Company
from tests.scheduling.houses import NEXT_WEEK, WEEK, day, house_make, version_make, visit_make

POSTED, DRAFT = WeekVersion.State.POSTED, WeekVersion.State.DRAFT


def revision() -> int:
    return Week.objects.get(iso_week=9).revision


def move(company: Company, stop: Stop, crew: Crew, on: date, expected: int | None = None) -> Moved:
    expected = revision() if expected is None else expected
    return stop_move(
        actor=ACTOR,
        branch=company.fairfield,
        stop_id=stop.pk,
        crew=crew,
        day=on,
        expected={"2027-W09": expected},
        now=NOW,
        today=TODAY,
    )


def place(company: Company, job: Job, crew: Crew, on: date) -> Moved:
    return stop_place(
        actor=ACTOR,
        branch=company.fairfield,
        job_id=job.pk,
        crew=crew,
        day=on,
        expected={},
        now=NOW,
        today=TODAY,
    )


def take_off(company: Company, stop: Stop) -> Moved:
    return stop_take_off(
        actor=ACTOR,
        branch=company.fairfield,
        stop_id=stop.pk,
        expected={"2027-W09": revision()},
        now=NOW,
        today=TODAY,
    )


def drafted() -> list[tuple[str, date, str, dict[str, int]]]:
    return looks(DRAFT)


def looks(state: str) -> list[tuple[str, date, str, dict[str, int]]]:
    stops = Stop.objects.filter(crew_day__version__state=state).order_by(
        "crew_day__date", "crew_day__crew__name", "position"
    )
    return [
        (
            stop.crew_day.crew.name,
            stop.crew_day.date,
            stop.job.unit,
            {part.step.kind: part.minutes for part in stop.parts.all()},
        )
        for stop in stops
    ]


@pytest.fixture
def lot(company: Company) -> Job:
    return house_make(company, "Lot 1", {"air_seal": 120, "flat_blow": 100})


@pytest.fixture
def stop(company: Company, lot: Job) -> Stop:
    posted = version_make(company, POSTED)
    return visit_make(posted, company.north, day(1), lot, {"air_seal": 120, "flat_blow": 100})


def test_a_move_of_a_posted_stop_makes_a_draft_and_leaves_the_posted(
    company: Company, stop: Stop
) -> None:
    moved = move(company, stop, company.south, day(3))
    assert drafted() == [("South", day(3), "Lot 1", {"air_seal": 120, "flat_blow": 100})]
    assert looks(POSTED) == [("North", day(1), "Lot 1", {"air_seal": 120, "flat_blow": 100})]
    assert moved.weeks == ("2027-W09",)
    assert revision() == 1
    # Posted with North on Tuesday: two steps change day and crew; two days later is finished later.
    costs = company.fairfield.costs
    changes = 2 * (costs.change_day_cents + costs.change_crew_cents)
    assert moved.cost_after - moved.cost_before == changes + 2 * costs.wait_cents_per_day
    event = Event.objects.get(noun="week")
    assert (event.verb, event.what["revision"], event.who) == ("stop moved", 1, ACTOR.who)


def test_the_draft_names_the_machine(company: Company, stop: Stop) -> None:
    move(company, stop, company.south, day(3))
    crew_day = CrewDay.objects.get(version__state=DRAFT)
    assert [machine.name for machine in crew_day.machines.all()] == ["Blower 1"]


def test_two_crews_cannot_have_the_one_machine(company: Company, stop: Stop) -> None:
    version = stop.crew_day.version
    blown = house_make(company, "Lot 2", {"flat_blow": 100})
    other = house_make(company, "Lot 3", {"flat_blow": 100})
    visit_make(version, company.south, day(3), other, {"flat_blow": 100})
    alone = visit_make(version, company.north, day(4), blown, {"flat_blow": 100})
    with pytest.raises(StopMoveRefused) as refused:
        move(company, alone, company.north, day(3))
    assert refused.value.reasons == ("2 crews need a blower on Thu Mar 4, there is 1",)
    assert drafted() == []
    assert revision() == 0


def test_a_crew_without_the_skill_is_refused_by_name(company: Company, stop: Stop) -> None:
    MemberSkill.objects.filter(member__crew=company.south, skill=Skill.AIR_SEAL).delete()
    with pytest.raises(StopMoveRefused) as refused:
        move(company, stop, company.south, day(3))
    reason = "South is not able to do air sealing at Quarry Lane 1, Lot 1"
    assert reason in refused.value.reasons


def test_a_week_changed_meanwhile_names_who_changed_it(company: Company, stop: Stop) -> None:
    move(company, stop, company.south, day(3))
    with pytest.raises(WeekChanged) as refused:
        move(company, stop, company.south, day(4), expected=0)
    assert (refused.value.who, refused.value.at) == (ACTOR.who, NOW)
    assert drafted()[0][1] == day(3)


def test_a_posted_stop_under_a_draft_is_not_there_any_more(company: Company, stop: Stop) -> None:
    move(company, stop, company.south, day(3))
    with pytest.raises(NotThere):
        move(company, stop, company.south, day(4))


def test_a_long_step_is_divided_over_days(company: Company) -> None:
    job = house_make(company, "Lot 9", {"flat_blow": 700})
    version_make(company, DRAFT)
    place(company, job, company.north, day(1))
    found = drafted()
    assert [(who, on) for who, on, _, _ in found] == [("North", day(1)), ("North", day(2))]
    assert sum(minutes["flat_blow"] for _, _, _, minutes in found) == 700
    gathered = gather(branch=company.fairfield, first=WEEK, weeks=1, today=TODAY)
    assert judge(gathered.problem, gathered.plan).clean


def test_a_step_divided_over_two_weeks_moves_whole(company: Company) -> None:
    job = house_make(company, "Lot 9", {"flat_blow": 900})
    place(company, job, company.north, day(1))
    stop = Stop.objects.order_by("crew_day__date").first()
    assert stop is not None
    moved = stop_move(
        actor=ACTOR,
        branch=company.fairfield,
        stop_id=stop.pk,
        crew=company.north,
        day=day(4),
        expected={"2027-W09": 1, "2027-W10": 0},
        now=NOW,
        today=TODAY,
    )
    assert moved.weeks == ("2027-W09", "2027-W10")
    days = [on for _, on, _, _ in drafted()]
    assert days[:2] == [day(4), day(7)]
    gathered = gather(branch=company.fairfield, first=WEEK, weeks=2, today=TODAY)
    assert judge(gathered.problem, gathered.plan).clean
    # Each week alone is clean, too: what lies in the other week counts as done or placed there.
    for week in (WEEK, NEXT_WEEK):
        alone = gather(branch=company.fairfield, first=week, weeks=1, today=TODAY)
        assert judge(alone.problem, alone.plan).clean


def test_stops_are_put_into_the_shortest_order(company: Company) -> None:
    far = house_make(company, "F", {"air_seal": 60}, site="Far")
    far.site.latitude, far.site.longitude = 41.9, -93.6
    far.site.save()
    near = house_make(company, "N", {"air_seal": 60}, site="Near")
    near.site.latitude, near.site.longitude = 41.75, -93.6
    near.site.save()
    side = house_make(company, "S", {"air_seal": 60}, site="Side")
    side.site.latitude, side.site.longitude = 41.9, -93.5
    side.site.save()
    for job in (far, near, side):
        place(company, job, company.north, day(0))
    order = [unit for _, _, unit, _ in drafted()]
    assert order in (["N", "F", "S"], ["S", "F", "N"])


def test_taking_a_stop_off_takes_later_steps_along(company: Company, lot: Job) -> None:
    posted = version_make(company, POSTED)
    first = visit_make(posted, company.north, day(1), lot, {"air_seal": 120})
    visit_make(posted, company.north, day(2), lot, {"flat_blow": 100})
    take_off(company, first)
    assert drafted() == []
    assert WeekVersion.objects.filter(state=DRAFT).exists()
    assert len(looks(POSTED)) == 2


def test_a_job_from_the_shelf_is_placed_as_far_as_it_fits(company: Company) -> None:
    job = house_make(company, "Lot 5", {"air_seal": 120, "flat_blow": 100}, flat_blow=4)
    place(company, job, company.north, day(1))
    assert drafted() == [("North", day(1), "Lot 5", {"air_seal": 120})]


def test_a_placed_job_is_on_no_shelf(company: Company, stop: Stop) -> None:
    with pytest.raises(NotThere):
        place(company, stop.job, company.north, day(2))


def test_a_day_gone_by_a_closed_day_and_a_held_job_are_refused(
    company: Company, stop: Stop
) -> None:
    with pytest.raises(StopMoveRefused, match="gone by"):
        move(company, stop, company.north, date(2027, 2, 24))
    with pytest.raises(StopMoveRefused, match="closed on Sat Mar 6"):
        move(company, stop, company.north, day(5))


def test_a_move_to_where_it_stands_changes_nothing(company: Company, stop: Stop) -> None:
    assert move(company, stop, company.north, day(1)).weeks == ()
    assert revision() == 0
    assert not WeekVersion.objects.filter(state=DRAFT).exists()


def test_crew_days_that_stay_keep_their_rows(company: Company, stop: Stop) -> None:
    other = house_make(company, "Lot 2", {"air_seal": 60})
    place(company, other, company.south, day(0))
    kept = Stop.objects.get(crew_day__version__state=DRAFT, job=other)
    moved = Stop.objects.get(crew_day__version__state=DRAFT, job=stop.job)
    move(company, moved, company.north, day(4))
    assert Stop.objects.filter(pk=kept.pk).exists()
