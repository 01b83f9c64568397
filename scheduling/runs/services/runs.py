"""Asking for planning runs, ending them, and deciding on their proposals; solves nothing."""

from datetime import date, datetime, timedelta
from typing import Any

from django.db import IntegrityError, transaction
from django.utils.translation import gettext

from contractor.events import Actor, event_record
from contractor.models import Branch
from contractor.workdays import IsoWeek
from jobs.localtime import local_date
from scheduling.gather.gathered import Gathered, GatherError, gather
from scheduling.gather.standing import plan_standing, without_begun
from scheduling.models import PlanningRun, Week
from scheduling.planning.check import judge
from scheduling.planning.placing import placed_steps
from scheduling.planning.plan import Plan, Visit, parse_plan, plan_to_json
from scheduling.planning.problem import problem_to_json
from scheduling.runs.bell import doorbell
from scheduling.weeks.services.drafts import (
    draft_write,
    week_changed,
    week_event,
    week_of,
    week_revise,
    weeks_touched,
)
from scheduling.weeks.services.refusals import PlanAgain, PlanRefused

# How long the minutes that were left of a day when a plan was asked for are taken to be left:
# while somebody reads the proposal the crews wait for it.
STANDS = timedelta(minutes=30)
State, Wish, Verdict = PlanningRun.State, PlanningRun.Wish, PlanningRun.Verdict


def run_ask(
    *,
    actor: Actor,
    branch: Branch,
    first: IsoWeek,
    weeks: int,
    seconds: int,
    now: datetime,
    today: date,
    seed: int = 1,
    ring: bool = True,
) -> PlanningRun:
    """Ask for a plan of so many weeks; a branch that has a run under way gets that one.

    The row holds the problem and the weeks' revisions as they are now. Without `ring` nobody is
    called to work on it: the caller does that. Raises PlanRefused where no working day is left.
    """
    under_way = _under_way(branch)
    if under_way is not None:
        return under_way
    try:
        with transaction.atomic():
            run = PlanningRun.objects.create(
                branch=branch,
                first_monday=first.monday,
                weeks=weeks,
                seconds=seconds,
                seed=seed,
                asked_by=actor.user,
                asked_at=now,
                rung_at=now,
                **question(branch, first, weeks, today),
            )
            what = {"weeks": list(run.base_revisions), "seconds": seconds}
            _record(actor, now, "asked for", run, what)
            if ring:
                doorbell(run.pk)
            return run
    except IntegrityError:
        # Two clicks at once: the constraint let one in, and it is this one's run as well.
        under_way = _under_way(branch)
        if under_way is None:
            raise
        return under_way


def run_stop(*, actor: Actor, run: PlanningRun, now: datetime) -> None:
    """Stop a run and keep its best plan as the proposal; a run that has ended stays as it is."""
    with transaction.atomic():
        rows = PlanningRun.objects.under_way().filter(pk=run.pk, wish=Wish.NONE)
        if rows.update(wish=Wish.STOP):
            _record(actor, now, "stop wished", run)


def run_cancel(*, actor: Actor, run: PlanningRun, now: datetime) -> None:
    """End a run and keep nothing of it; a run that has ended stays as it is."""
    with transaction.atomic():
        rows = PlanningRun.objects.filter(pk=run.pk)
        waiting = rows.filter(state=State.ASKED_FOR).update(
            state=State.CANCELLED, wish=Wish.CANCEL, best_plan=None, ended_at=now
        )
        running = rows.filter(state=State.RUNNING).exclude(wish=Wish.CANCEL)
        if waiting or running.update(wish=Wish.CANCEL):
            _record(actor, now, "cancelled" if waiting else "cancel wished", run)


def run_throw_away(*, actor: Actor, run: PlanningRun, now: datetime) -> None:
    """Decide against a proposal. Raises PlanRefused when it is decided on already."""
    with transaction.atomic():
        _decide(run, Verdict.THROWN_AWAY, now)
        _record(actor, now, "thrown away", run)


def run_accept(*, actor: Actor, run: PlanningRun, now: datetime, today: date) -> list[str]:
    """Write a run's plan into the drafts of its weeks and return the labels of those changed.

    A plan for the rest of a day leaves alone what crews have begun since it was asked for.
    Raises WeekChanged when any of the weeks is not as it was when the plan was asked for,
    PlanAgain when facts have changed so that the plan breaks a rule, PlanRefused when the run
    has no proposal to decide on. Then nothing is changed.
    """
    with transaction.atomic():
        _decide(run, Verdict.ACCEPTED, now)
        weeks = [week_of(run.branch, run.first.plus(number)) for number in range(run.weeks)]
        for week in weeks:
            if week.revision != run.base_revisions.get(week.label, 0):
                raise week_changed(week)
        gathered = _gather_again(run, today, now)
        plan = _proposal(run, gathered)
        touched = set(weeks_touched(gathered, plan))
        changed = [week for week in weeks if week.iso in touched]
        for week in changed:
            week_revise(week, week.revision)
            draft_write(week=week, gathered=gathered, plan=plan, today=today, now=now)
            week_event(actor=actor, now=now, verb="drafted", week=week, what={"run": run.pk})
        labels = [week.label for week in changed]
        _record(actor, now, "accepted", run, {"weeks": labels})
    return labels


def _under_way(branch: Branch) -> PlanningRun | None:
    return PlanningRun.objects.under_way().filter(branch=branch).first()


def question(
    branch: Branch, first: IsoWeek, weeks: int, today: date, rest_at: datetime | None = None
) -> dict[str, Any]:
    """Return the problem, the weeks' revisions and the plan to start from, as a run's row has them.

    Revisions are read first, so that a change in between is noticed. Raises PlanRefused.
    """
    labels = [str(first.plus(number)) for number in range(weeks)]
    revisions = {week.label: week.revision for week in Week.objects.filter(branch=branch)}
    try:
        gathered = gather(branch=branch, first=first, weeks=weeks, today=today, rest_at=rest_at)
    except GatherError as error:
        raise PlanRefused(str(error)) from error
    start = plan_standing(gathered).plan
    return {
        "problem": problem_to_json(gathered.problem),
        "base_revisions": {label: revisions.get(label, 0) for label in labels},
        "best_plan": plan_to_json(start) if start.visits else None,
    }


def _decide(run: PlanningRun, verdict: str, now: datetime) -> None:
    """Of any number who decide at once, one gets through."""
    rows = PlanningRun.objects.proposals().filter(pk=run.pk)
    if not rows.update(verdict=verdict, decided_at=now):
        raise PlanRefused("This run has no proposal that is still to be decided on.")


def _gather_again(run: PlanningRun, today: date, now: datetime) -> Gathered:
    rest_at = run.rest_from
    if rest_at is not None and local_date(run.branch, rest_at) != today:
        raise PlanAgain(gettext("That plan was for the rest of a day that is over."))
    if rest_at is not None and now - rest_at > STANDS:
        rest_at = now
    try:
        return gather(
            branch=run.branch, first=run.first, weeks=run.weeks, today=today, rest_at=rest_at
        )
    except GatherError as error:
        raise PlanAgain(f"{error} {gettext('Plan again.')}") from error


def _proposal(run: PlanningRun, gathered: Gathered) -> Plan:
    """The run's plan on the days of today, judged against the facts of today."""
    if run.outcome is None:
        raise PlanAgain(gettext("The run kept no plan. Plan again."))
    proposed = parse_plan(run.outcome["plan"])
    dates = [date.fromisoformat(day) for day in run.problem["days"]]
    moved = [(visit, gathered.day_index(dates[visit.day])) for visit in proposed.visits]
    plan = Plan(tuple(Visit(v.crew, day, v.stops) for v, day in moved if day is not None))
    plan = without_begun(gathered, plan)
    found = judge(gathered.problem, plan).violations
    reasons = [gathered.names.sentence(broken.finding) for broken in found]
    reasons += _days_gone_by(gathered, proposed, plan)
    if reasons:
        said = tuple(dict.fromkeys(reasons))
        sentence = gettext("Since this plan was asked for, facts have changed. Plan again.")
        raise PlanAgain(sentence, said)
    return plan


def _days_gone_by(gathered: Gathered, proposed: Plan, plan: Plan) -> list[str]:
    """Work that was proposed for days now gone by, and was not posted for them."""
    known = gathered.problem.place_of_step
    lost = set(placed_steps(proposed)) - set(placed_steps(plan))
    text = gettext("%(step)s was planned for a day gone by")
    return [text % {"step": gathered.names.named(step)} for step in sorted(lost) if step in known]


def _record(
    actor: Actor,
    now: datetime,
    verb: str,
    run: PlanningRun,
    what: dict[str, Any] | None = None,
) -> None:
    event_record(actor=actor, now=now, verb=verb, thing=run, branch=run.branch, what=what)
