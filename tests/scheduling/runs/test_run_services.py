"""Asking, stopping, cancelling, accepting and throwing away: what each changes, and who wins."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from contractor.models import Event
from contractor.workdays import IsoWeek
from jobs.models import Job
from scheduling.gather.feasible import feasible_plan
from scheduling.gather.gathered import gather
from scheduling.models import CrewDay, PlanningRun, Week, WeekVersion
from scheduling.planning.check import judge
from scheduling.planning.plan import Part, Plan, Stop, Visit, parse_plan, plan_to_json
from scheduling.planning.problem import parse_problem
from scheduling.runs.lease import run_claim, run_finish
from scheduling.runs.services.runs import run_accept, run_ask, run_cancel, run_stop, run_throw_away
from scheduling.weeks.services.moves import stop_move
from scheduling.weeks.services.posting import draft_discard, week_post
from scheduling.weeks.services.refusals import PlanAgain, PlanRefused, WeekChanged
from tests.people import ACTOR, NOW, TODAY, Company
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
State = PlanningRun.State


def ask(company: Company, weeks: int = 1, today: date = TODAY) -> PlanningRun:
    return run_ask(
        actor=ACTOR,
        branch=company.fairfield,
        first=WEEK,
        weeks=weeks,
        seconds=5,
        now=NOW,
        today=today,
    )


def finish(run: PlanningRun, plan: Plan, status: str = "feasible") -> PlanningRun:
    """End a run as the solver would, with this plan."""
    claim = run_claim(run_id=run.pk, owner="test", now=NOW)
    assert claim is not None
    total = judge(parse_problem(run.problem), plan).total
    outcome: dict[str, Any] = {
        "format": "week-outcome/1",
        "status": status,
        "cost": total,
        "bound": 0,
        "gap": 1.0,
        "seconds": 1.0,
        "costs": {},
        "plan": plan_to_json(plan),
        "unplaced": [],
        "machines": [],
    }
    assert run_finish(claim=claim, now=NOW, outcome=outcome, progress=[])
    run.refresh_from_db()
    return run


def accept(run: PlanningRun, today: date = TODAY) -> list[str]:
    return run_accept(actor=ACTOR, run=run, now=NOW, today=today)


def at(company: Company, job: Job, on: int) -> Plan:
    """A plan of one step of a job, with North on a day."""
    step = job.steps.get()
    minutes = step.crew_minutes["3"]
    stop = Stop(job.plan_id, (Part(step.plan_id, minutes),))
    return Plan((Visit(f"crew-{company.north.pk}", on, (stop,)),))


@pytest.fixture
def lot(company: Company) -> Job:
    return house_make(company, "Lot 1", {"flat_blow": 100})


def test_a_run_keeps_the_problem_and_the_revisions(company: Company, lot: Job) -> None:
    Week.objects.create(branch=company.fairfield, iso_year=2027, iso_week=10, revision=4)
    run = ask(company, weeks=2)
    assert run.base_revisions == {"2027-W09": 0, "2027-W10": 4}
    assert parse_problem(run.problem).jobs[0].id == lot.plan_id
    assert (run.state, run.first, run.best_plan) == (State.ASKED_FOR, WEEK, None)
    assert Event.objects.get(noun="planningrun").verb == "asked for"


def test_a_run_starts_from_the_plan_that_stands(company: Company, lot: Job) -> None:
    visit_make(version_make(company, POSTED), company.north, day(2), lot, {"flat_blow": 100})
    assert parse_plan(ask(company).best_plan) == at(company, lot, 2)


def test_a_second_click_gets_the_run_under_way(company: Company, lot: Job) -> None:
    assert ask(company).pk == ask(company).pk
    assert PlanningRun.objects.count() == 1


def test_the_database_lets_only_one_run_of_a_branch_be_under_way(
    company: Company, lot: Job
) -> None:
    run = ask(company)
    with pytest.raises(IntegrityError), transaction.atomic():
        PlanningRun.objects.create(
            branch=run.branch, first_monday=run.first_monday, problem={}, asked_at=NOW
        )


def test_a_week_gone_by_cannot_be_planned(company: Company) -> None:
    with pytest.raises(PlanRefused, match="no working day left"):
        ask(company, today=day(7))
    assert not PlanningRun.objects.exists()


def test_accepting_writes_the_draft_and_names_the_machine(company: Company, lot: Job) -> None:
    run = finish(ask(company), at(company, lot, 2))
    assert accept(run) == ["2027-W09"]
    crew_day = CrewDay.objects.get()
    assert (crew_day.version.state, crew_day.crew, crew_day.date) == (
        DRAFT,
        company.north,
        day(2),
    )
    assert [machine.name for machine in crew_day.machines.all()] == ["Blower 1"]
    part = crew_day.stops.get().parts.get()
    assert (part.minutes, part.step_minutes) == (100, 100)
    assert Week.objects.get().revision == 1
    assert {event.verb for event in Event.objects.all()} >= {"accepted", "drafted"}


def test_accepting_what_stands_already_changes_no_week(company: Company, lot: Job) -> None:
    visit_make(version_make(company, POSTED), company.north, day(2), lot, {"flat_blow": 100})
    run = finish(ask(company), at(company, lot, 2))
    assert accept(run) == []
    assert not WeekVersion.objects.filter(state=DRAFT).exists()
    assert Week.objects.get().revision == 0


def test_a_proposal_is_decided_on_once(company: Company, lot: Job) -> None:
    run = finish(ask(company), at(company, lot, 2))
    accept(run)
    for decide in (accept, lambda run: run_throw_away(actor=ACTOR, run=run, now=NOW)):
        with pytest.raises(PlanRefused, match="no proposal"):
            decide(run)
    assert Week.objects.get().revision == 1


def test_thrown_away_changes_nothing(company: Company, lot: Job) -> None:
    run = finish(ask(company), at(company, lot, 2))
    run_throw_away(actor=ACTOR, run=run, now=NOW)
    run.refresh_from_db()
    assert run.verdict == PlanningRun.Verdict.THROWN_AWAY
    assert not WeekVersion.objects.exists()


def test_a_week_changed_meanwhile_is_never_overwritten(company: Company, lot: Job) -> None:
    posted = version_make(company, POSTED)
    stop = visit_make(posted, company.north, day(2), lot, {"flat_blow": 100})
    run = finish(ask(company), at(company, lot, 3))
    stop_move(
        actor=ACTOR,
        branch=company.fairfield,
        stop_id=stop.pk,
        crew=company.south,
        day=day(4),
        expected={"2027-W09": 0},
        now=NOW,
        today=TODAY,
    )
    with pytest.raises(WeekChanged) as refused:
        accept(run)
    assert refused.value.who == ACTOR.who
    assert CrewDay.objects.get(version__state=DRAFT).date == day(4)
    run.refresh_from_db()
    assert run.is_proposal


def test_two_proposals_of_one_week_one_is_accepted(company: Company, lot: Job) -> None:
    first = finish(ask(company), at(company, lot, 2))
    second = finish(ask(company), at(company, lot, 3))
    assert accept(second) == ["2027-W09"]
    with pytest.raises(WeekChanged):
        accept(first)
    assert CrewDay.objects.get().date == day(3)


def test_facts_that_changed_meanwhile_ask_for_a_new_plan(company: Company, lot: Job) -> None:
    run = finish(ask(company), at(company, lot, 2))
    condition_make(lot, ["flat_blow"], state="promised", promised_for=day(4))
    with pytest.raises(PlanAgain) as refused:
        accept(run)
    reason = "flat blow at Quarry Lane 1, Lot 1 cannot start on Wed Mar 3"
    assert refused.value.reasons == (reason,)
    assert not WeekVersion.objects.exists()
    run.refresh_from_db()
    assert run.is_proposal


def test_a_proposal_for_a_day_gone_by_asks_for_a_new_plan(company: Company, lot: Job) -> None:
    run = finish(ask(company), at(company, lot, 0))
    with pytest.raises(PlanAgain, match="a day gone by"):
        accept(run, today=day(1))


def test_days_gone_by_stay_as_they_were_posted(company: Company, lot: Job) -> None:
    done = house_make(company, "Lot 0", {"air_seal": 60})
    posted = version_make(company, POSTED)
    visit_make(posted, company.south, day(0), done, {"air_seal": 60})
    run = finish(ask(company, today=day(1)), at(company, lot, 0))
    assert accept(run, today=day(1)) == ["2027-W09"]
    days = CrewDay.objects.filter(version__state=DRAFT).values_list("date", "crew__name")
    assert sorted(days) == [(day(0), "South"), (day(1), "North")]


def test_posting_replaces_what_was_posted(company: Company, lot: Job) -> None:
    old = version_make(company, POSTED)
    accept(finish(ask(company), at(company, lot, 2)))
    new = week_post(
        actor=ACTOR, branch=company.fairfield, week=WEEK, expected=1, now=NOW, today=TODAY
    )
    old.refresh_from_db()
    assert (old.state, new.state, new.posted_at) == ("replaced", "posted", NOW)
    assert Week.objects.get().revision == 2
    with pytest.raises(PlanRefused, match="no draft"):
        week_post(
            actor=ACTOR, branch=company.fairfield, week=WEEK, expected=2, now=NOW, today=TODAY
        )


def test_posting_by_a_stale_page_is_refused(company: Company, lot: Job) -> None:
    accept(finish(ask(company), at(company, lot, 2)))
    with pytest.raises(WeekChanged):
        week_post(
            actor=ACTOR, branch=company.fairfield, week=WEEK, expected=0, now=NOW, today=TODAY
        )
    with pytest.raises(WeekChanged):
        draft_discard(actor=ACTOR, branch=company.fairfield, week=WEEK, expected=0, now=NOW)
    assert WeekVersion.objects.get().state == DRAFT


def test_discarding_lets_the_posted_week_count_again(company: Company, lot: Job) -> None:
    visit_make(version_make(company, POSTED), company.north, day(1), lot, {"flat_blow": 100})
    accept(finish(ask(company), at(company, lot, 2)))
    draft_discard(actor=ACTOR, branch=company.fairfield, week=WEEK, expected=1, now=NOW)
    gathered = gather(branch=company.fairfield, first=WEEK, weeks=1, today=TODAY)
    assert gathered.plan == at(company, lot, 1)
    assert Event.objects.filter(verb="draft discarded").exists()


def test_stop_is_a_wish_and_cancel_ends_what_nobody_has_begun(company: Company, lot: Job) -> None:
    run = ask(company)
    run_stop(actor=ACTOR, run=run, now=NOW)
    run.refresh_from_db()
    assert (run.state, run.wish) == (State.ASKED_FOR, "stop")
    run_cancel(actor=ACTOR, run=run, now=NOW)
    run.refresh_from_db()
    assert (run.state, run.best_plan) == (State.CANCELLED, None)


def test_a_running_run_hears_a_cancel_and_keeps_nothing(company: Company, lot: Job) -> None:
    run = ask(company)
    claim = run_claim(run_id=run.pk, owner="test", now=NOW)
    assert claim is not None
    run_cancel(actor=ACTOR, run=run, now=NOW)
    outcome = {"status": "stopped", "cost": 1, "bound": 0, "seconds": 1.0, "plan": {}}
    assert run_finish(claim=claim, now=NOW, outcome=outcome, progress=[])
    run.refresh_from_db()
    assert (run.state, run.outcome, run.best_plan) == (State.CANCELLED, None, None)
    assert not run.is_proposal


def test_a_run_that_has_ended_hears_nothing(company: Company, lot: Job) -> None:
    run = finish(ask(company), at(company, lot, 2))
    run_stop(actor=ACTOR, run=run, now=NOW)
    run_cancel(actor=ACTOR, run=run, now=NOW)
    run.refresh_from_db()
    assert (run.state, run.wish) == (State.FINISHED, "")


def test_both_weeks_are_drafted_and_each_alone_stays_clean(company: Company, lot: Job) -> None:
    other = house_make(company, "Lot 2", {"flat_blow": 100}, flat_blow=0)
    plan = Plan((*at(company, lot, 4).visits, *at(company, other, 6).visits))
    assert accept(finish(ask(company, weeks=2), plan)) == ["2027-W09", "2027-W10"]
    for week, weeks in ((WEEK, 1), (NEXT_WEEK, 1), (WEEK, 2), (IsoWeek(2027, 8), 3)):
        gathered = gather(branch=company.fairfield, first=week, weeks=weeks, today=TODAY)
        standing = feasible_plan(gathered)
        assert standing.notes == ()
        assert judge(gathered.problem, standing.plan).clean


def test_the_lease_of_a_run_is_in_the_future(company: Company, lot: Job) -> None:
    run = ask(company)
    run_claim(run_id=run.pk, owner="test", now=NOW)
    run.refresh_from_db()
    assert run.lease_until is not None
    assert run.lease_until > NOW + timedelta(seconds=1)


def test_what_stays_keeps_the_minutes_it_was_planned_with(company: Company, lot: Job) -> None:
    """The estimate of a house grew after its week was posted; crews were told the old figure."""
    posted = version_make(company, POSTED)
    visit_make(posted, company.north, day(2), lot, {"flat_blow": 100})
    second = house_make(company, "Lot 2", {"batt": 60})
    stop = visit_make(posted, company.north, day(3), second, {"batt": 60})
    lot.steps.update(crew_minutes={"2": 140, "3": 140})
    stop_move(
        actor=ACTOR,
        branch=company.fairfield,
        stop_id=stop.pk,
        crew=company.north,
        day=day(4),
        expected={"2027-W09": 0},
        now=NOW,
        today=TODAY,
    )
    draft = CrewDay.objects.get(version__state=DRAFT, date=day(2))
    part = draft.stops.get().parts.get()
    assert (part.minutes, part.step_minutes) == (100, 100)
