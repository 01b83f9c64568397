"""A crew turned away asks for the rest of the day anew: to the proposal, the draft, the post."""

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from contractor.models import Event
from jobs.models import Job
from scheduling.facts.services.facts import facts_take
from scheduling.models import CrewDay, Fact, PlanningRun, Stop, TurnedAway, Week, WeekVersion
from scheduling.planning.check import judge
from scheduling.planning.plan import Part as PlannedPart
from scheduling.planning.plan import Plan, Visit, parse_plan, plan_to_json
from scheduling.planning.plan import Stop as PlannedStop
from scheduling.planning.problem import parse_problem
from scheduling.planning.solver import solve
from scheduling.runs.execute import run_execute_alone
from scheduling.runs.lease import run_claim, run_fail
from scheduling.runs.queries.left_off import run_left_off
from scheduling.runs.queries.runs import run_page
from scheduling.runs.services.replans import replans_ask, rest_ask
from scheduling.runs.services.runs import run_accept, run_ask
from scheduling.weeks.services.posting import week_post
from scheduling.weeks.services.refusals import PlanAgain, WeekChanged
from tests.people import ACTOR, MONDAY, Company
from tests.scheduling.gather.test_gather_rest import Monday, clock
from tests.scheduling.houses import WEEK, day, house_make

pytestmark = pytest.mark.django_db
State = PlanningRun.State


@pytest.fixture
def monday(company: Company) -> Monday:
    made = Monday(company)
    company.omar.email = "omar@example.com"
    company.omar.save()
    return made


def send(monday: Monday, at: str, kind: str, job: Job, step: str = "", **what: Any) -> str:
    """One fact of North, told in the moment in which it happens."""
    return send_as(monday, at, kind, job, step, what=what)


def send_as(
    monday: Monday,
    at: str,
    kind: str,
    job: Job,
    step: str = "",
    *,
    south: bool = False,
    what: dict[str, Any] | None = None,
    fact_id: UUID | None = None,
    now: str = "",
) -> str:
    company = monday.company
    crew, person = (company.south, company.saul) if south else (company.north, company.cleo)
    fact: dict[str, Any] = {
        "id": str(fact_id or uuid4()),
        "kind": kind,
        "crew": crew.pk,
        "day": MONDAY.isoformat(),
        "job": job.pk,
        "at": clock(at).isoformat(),
        "what": what or {},
    }
    fact |= {"step": step} if step else {}
    moment = clock(now or at)
    (taken,) = facts_take(person=person, phone=None, facts=[fact], sent_at=moment, now=moment)
    assert taken.state != "refused", taken.why
    return taken.id


def solved(run: PlanningRun, at: str) -> PlanningRun:
    """Work on a run as its process does."""
    PlanningRun.objects.filter(pk=run.pk).update(seconds=5)
    assert run_execute_alone(run_id=run.pk, owner="test", clock=lambda: clock(at))
    run.refresh_from_db()
    return run


def accept(run: PlanningRun, at: str) -> list[str]:
    return run_accept(actor=ACTOR, run=run, now=clock(at), today=MONDAY)


def post(monday: Monday, at: str) -> WeekVersion:
    branch = monday.company.fairfield
    revision = Week.objects.get(branch=branch, iso_week=9).revision
    return week_post(
        actor=ACTOR, branch=branch, week=WEEK, expected=revision, now=clock(at), today=MONDAY
    )


def stops_of(version: WeekVersion) -> list[tuple[str, Any, str]]:
    """Crew, date and house of every stop, in driving order."""
    stops = Stop.objects.filter(crew_day__version=version).select_related("job__site")
    rows = stops.order_by("crew_day__date", "crew_day__crew__name", "position")
    return [(s.crew_day.crew.name, s.crew_day.date, str(s.job)) for s in rows]


def run_of() -> PlanningRun:
    return PlanningRun.objects.get()


def test_a_crew_turned_away_asks_for_the_rest_of_its_day(monday: Monday) -> None:
    send(monday, "7:00", "set_out", monday.lot)
    fact = send(monday, "7:30", "turned_away", monday.lot, why="chase open")
    run = run_of()
    assert (run.state, run.rest_from, run.asked_by) == (
        State.ASKED_FOR,
        clock("7:30"),
        monday.company.cleo,
    )
    assert (run.first, run.weeks) == (WEEK, 1)
    assert run.seconds <= 20
    row = TurnedAway.objects.get()
    assert (str(row.pk), row.run, row.seen_at) == (fact, run, None)
    problem = parse_problem(run.problem)
    assert judge(problem, parse_plan(run.best_plan)).clean
    event = Event.objects.get(noun="planningrun")
    assert (event.verb, event.source, event.who) == ("asked for", "phone", "Cleo")


def test_the_whole_way_from_the_fact_to_the_posted_day(monday: Monday) -> None:
    """Lot 1 turns North away at 7:30; Lot 2 goes on today, Lot 1 comes another day."""
    send(monday, "7:30", "turned_away", monday.lot, why="chase open")
    run = solved(run_of(), "7:30")
    problem, plan = parse_problem(run.problem), parse_plan((run.outcome or {})["plan"])
    assert judge(problem, plan).clean
    page = run_page(run=run)
    assert page.because == (
        "North was turned away from Quarry Lane 1, Lot 1 at 7:30 AM: chase open",
    )
    assert page.counts_on[0] == (
        "North is free at 7:30 AM at Quarry Lane 1, with 7 h 30 min left of its day"
    )
    (change,) = page.changes
    assert change.startswith("Quarry Lane 1, Lot 1: air sealing and flat blow move from Mon Mar 1")
    assert run_left_off(run=run) == ()
    assert accept(run, "7:45") == ["2027-W09"]
    posted = post(monday, "7:50")
    today = [stop for stop in stops_of(posted) if stop[1] == MONDAY]
    # South is at its house, as nobody heard otherwise: that stays as it was posted.
    assert today == [
        ("North", MONDAY, "Quarry Lane 1, Lot 2"),
        ("South", MONDAY, "Mill Road 2"),
    ]
    later = [stop for stop in stops_of(posted) if stop[1] > MONDAY]
    assert [stop[2] for stop in later] == ["Quarry Lane 1, Lot 1"]
    # Facts hang on crew, day and house: they are all there after the post.
    assert Fact.objects.filter(crew=monday.company.north, day=MONDAY).count() == 1


def test_what_is_over_stays_before_what_is_new(monday: Monday) -> None:
    """A house from the shelf fills the gap after Lot 2, which North finished first."""
    spare = house_make(monday.company, "", {"batt": 90}, site="Ridge 3")
    send(monday, "7:50", "started", monday.second, "batt")
    send(monday, "8:50", "finished", monday.second, "batt", minutes=60, whole=True)
    send(monday, "9:10", "turned_away", monday.lot, why="locked")
    run = solved(run_of(), "9:10")
    accept(run, "9:12")
    draft = WeekVersion.objects.get(state="draft")
    today = [stop for stop in stops_of(draft) if stop[:2] == ("North", MONDAY)]
    assert [stop[2] for stop in today] == ["Quarry Lane 1, Lot 2", str(spare)]
    crew_day = CrewDay.objects.get(version=draft, crew=monday.company.north, date=MONDAY)
    assert [p.minutes for s in crew_day.stops.all() for p in s.parts.all()] == [60, 90]
    post(monday, "9:15")


def test_a_house_begun_meanwhile_by_its_own_crew_does_no_harm(monday: Monday) -> None:
    send(monday, "7:30", "turned_away", monday.lot, why="locked")
    run = solved(run_of(), "7:30")
    send(monday, "7:32", "set_out", monday.second)
    send(monday, "7:40", "started", monday.second, "batt")
    accept(run, "7:45")
    draft = WeekVersion.objects.get(state="draft")
    assert ("North", MONDAY, "Quarry Lane 1, Lot 2") in stops_of(draft)
    assert ("South", MONDAY, "Mill Road 2") in stops_of(draft)
    post(monday, "7:50")


def test_a_second_house_closed_meanwhile_is_not_planned_over(monday: Monday) -> None:
    send(monday, "7:30", "turned_away", monday.lot, why="locked")
    first = solved(run_of(), "7:30")
    send(monday, "7:40", "turned_away", monday.second, why="locked, too")
    # It was overtaken by the plan that knows of both, and would not fit either.
    PlanningRun.objects.filter(pk=first.pk).update(verdict="open", decided_at=None)
    with pytest.raises(PlanAgain):
        accept(first, "7:45")
    assert not WeekVersion.objects.filter(state="draft").exists()


def test_the_day_after_it_is_too_late(monday: Monday) -> None:
    send(monday, "7:30", "turned_away", monday.lot, why="locked")
    run = solved(run_of(), "7:30")
    with pytest.raises(PlanAgain, match="rest of a day that is over"):
        run_accept(actor=ACTOR, run=run, now=clock("7:30") + timedelta(days=1), today=day(1))


def test_a_week_changed_meanwhile_is_not_overwritten(monday: Monday) -> None:
    send(monday, "7:30", "turned_away", monday.lot, why="locked")
    run = solved(run_of(), "7:30")
    Week.objects.update(revision=7)
    with pytest.raises(WeekChanged):
        accept(run, "7:45")


def test_two_turned_away_while_a_run_is_under_way_are_both_answered(monday: Monday) -> None:
    company = monday.company
    other = run_ask(
        actor=ACTOR,
        branch=company.fairfield,
        first=WEEK,
        weeks=1,
        seconds=5,
        now=clock("7:00"),
        today=MONDAY,
    )
    send(monday, "7:30", "turned_away", monday.lot, why="locked")
    send_as(monday, "7:35", "turned_away", monday.mill, south=True, what={"why": "no key"})
    assert TurnedAway.objects.unplanned().count() == 2
    assert replans_ask(now=clock("7:36")) == []
    claim = run_claim(run_id=other.pk, owner="test", now=clock("7:36"))
    assert claim is not None
    assert run_fail(claim=claim, now=clock("7:36"), error="it broke")
    (run,) = replans_ask(now=clock("7:37"))
    assert run.turned_away.count() == 2
    shut = {job["id"]: job["steps"][0]["risk"][0] for job in run.problem["jobs"]}
    assert (shut[monday.lot.plan_id], shut[monday.mill.plan_id]) == (1.0, 1.0)
    assert replans_ask(now=clock("7:38")) == []


def test_one_turned_away_while_its_own_run_is_under_way_asks_again(monday: Monday) -> None:
    send(monday, "7:30", "turned_away", monday.lot, why="locked")
    first = run_of()
    send_as(monday, "7:31", "turned_away", monday.mill, south=True, what={"why": "no key"})
    assert TurnedAway.objects.unplanned().count() == 1
    solved(first, "7:32")
    (second,) = replans_ask(now=clock("7:33"))
    first.refresh_from_db()
    assert first.verdict == PlanningRun.Verdict.THROWN_AWAY
    # The first one's proposal is overtaken: the second answers both.
    crews = {row.fact.crew for row in second.turned_away.all()}
    assert crews == {monday.company.north, monday.company.south}
    assert judge(parse_problem(second.problem), parse_plan(second.best_plan)).clean


def test_the_office_asks_again_for_what_is_left_by_then(monday: Monday) -> None:
    send(monday, "7:30", "turned_away", monday.lot, why="locked")
    first = solved(run_of(), "7:30")
    branch = monday.company.fairfield
    again = rest_ask(actor=ACTOR, branch=branch, now=clock("9:00"))
    assert rest_ask(actor=ACTOR, branch=branch, now=clock("9:01")) == again != first
    crew = parse_problem(again.problem).crew_by_id[monday.crew]
    assert crew.minutes[0] == 480 - 120
    assert TurnedAway.objects.get().run == again
    first.refresh_from_db()
    assert first.verdict == PlanningRun.Verdict.THROWN_AWAY


def test_word_that_comes_the_next_day_asks_for_no_plan(monday: Monday) -> None:
    moment = clock("7:30") + timedelta(days=1)
    fact = {
        "id": str(uuid4()),
        "kind": "turned_away",
        "crew": monday.company.north.pk,
        "day": MONDAY.isoformat(),
        "job": monday.lot.pk,
        "at": clock("9:00").isoformat(),
        "what": {"why": "locked"},
    }
    facts_take(person=monday.company.cleo, phone=None, facts=[fact], sent_at=moment, now=moment)
    assert TurnedAway.objects.get().no_plan == "That day is over."
    assert not PlanningRun.objects.exists()


def test_a_fault_of_the_planning_keeps_the_fact(
    monday: Monday, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("no")

    monkeypatch.setattr("scheduling.runs.services.replans.question", broken)
    send(monday, "7:30", "turned_away", monday.lot, why="locked")
    assert Fact.objects.count() == TurnedAway.objects.unplanned().count() == 1
    monkeypatch.undo()
    assert len(replans_ask(now=clock("7:31"))) == 1


def test_a_plan_that_moves_everything_it_may_is_clean(monday: Monday) -> None:
    """Both crews turned away, a machine on one truck, houses on the shelf: the judge passes it."""
    for number in range(4):
        house_make(monday.company, f"Lot {number + 5}", {"flat_blow": 70, "batt": 50})
    send(monday, "7:30", "turned_away", monday.lot, why="locked")
    send_as(monday, "7:31", "turned_away", monday.mill, south=True, what={"why": "no key"})
    PlanningRun.objects.update(state=State.CANCELLED)
    (run,) = replans_ask(now=clock("7:35"))
    problem = parse_problem(run.problem)
    outcome = solve(problem, seconds=10)
    assert outcome.plan is not None
    assert judge(problem, outcome.plan).clean
    # South has no blower with it.
    blown = {s.id for j in problem.jobs for s in j.steps if s.machine}
    south = f"crew-{monday.company.south.pk}"
    todays = [v for v in outcome.plan.visits if v.day == 0 and v.crew == south]
    assert not {p.step for v in todays for s in v.stops for p in s.parts} & blown


def proposed(run: PlanningRun, plan: Plan) -> PlanningRun:
    """End a run with a plan of the test's own, which the judge passes."""
    problem = parse_problem(run.problem)
    assert judge(problem, plan).violations == ()
    PlanningRun.objects.filter(pk=run.pk).update(
        state=State.FINISHED,
        outcome={"plan": plan_to_json(plan), "cost": 1, "bound": 1, "status": "feasible"},
        ended_at=run.asked_at,
    )
    run.refresh_from_db()
    return run


def visit(monday: Monday, crew: str, job: Job, minutes: int) -> Visit:
    (step,) = job.steps.all()
    return Visit(crew, 0, (PlannedStop(job.plan_id, (PlannedPart(step.plan_id, minutes),)),))


def test_a_crew_ahead_of_its_minutes_may_be_given_more_than_a_whole_day(monday: Monday) -> None:
    """South was through at 8:00 with what was to take it until 11:15: 420 minutes are left.

    360 more fit what is left, while the posted minutes of that day come to more than 570.
    """
    spare = house_make(monday.company, "", {"batt": 360}, site="Ridge 3")
    send_as(monday, "7:20", "started", monday.mill, "batt", south=True)
    what = {"minutes": 40, "whole": True}
    send_as(monday, "8:00", "finished", monday.mill, "batt", south=True, what=what)
    send(monday, "8:00", "turned_away", monday.lot, why="locked")
    run = proposed(run_of(), Plan((visit(monday, monday.other, spare, 360),)))
    accept(run, "8:05")
    posted = post(monday, "8:06")
    assert ("South", MONDAY, "Ridge 3") in stops_of(posted)


def test_a_house_that_another_crew_began_meanwhile_is_not_taken_from_it(monday: Monday) -> None:
    """The proposal gave North's second house to South; North has begun it by now."""
    what = {"minutes": 40, "whole": True}
    send_as(monday, "7:20", "started", monday.mill, "batt", south=True)
    send_as(monday, "8:00", "finished", monday.mill, "batt", south=True, what=what)
    send(monday, "8:00", "turned_away", monday.lot, why="locked")
    run = proposed(run_of(), Plan((visit(monday, monday.other, monday.second, 60),)))
    send(monday, "8:02", "started", monday.second, "batt")
    with pytest.raises(PlanAgain) as refused:
        accept(run, "8:05")
    assert "Lot 2" in str(refused.value)
    assert not WeekVersion.objects.filter(state="draft").exists()


def test_a_house_that_is_finished_and_closed_today_does_not_stop_the_post(monday: Monday) -> None:
    """The office closes Lot 2 once it is done: it is part of the posted day all the same."""
    send(monday, "7:50", "started", monday.second, "batt")
    send(monday, "8:50", "finished", monday.second, "batt", minutes=60, whole=True)
    send(monday, "9:10", "turned_away", monday.lot, why="locked")
    run = solved(run_of(), "9:10")
    accept(run, "9:12")
    Job.objects.filter(pk=monday.second.pk).update(state=Job.State.FINISHED)
    assert ("North", MONDAY, "Quarry Lane 1, Lot 2") in stops_of(post(monday, "9:15"))
