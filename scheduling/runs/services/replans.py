"""Asks for plans of the rest of a day on which a crew was turned away; decides nothing."""

import logging
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction

from contractor.events import Actor, event_record
from contractor.models import Branch, Event
from contractor.workdays import IsoWeek
from jobs.localtime import local_date
from scheduling.models import PlanningRun, TurnedAway
from scheduling.runs.bell import doorbell
from scheduling.runs.services.runs import question
from scheduling.weeks.services.refusals import PlanRefused

# Short, so that a proposal is there in half a minute, start of the process included.
SECONDS = 15
DAY_IS_OVER = "That day is over."
log = logging.getLogger(__name__)
State, Verdict = PlanningRun.State, PlanningRun.Verdict


def replans_ask(*, now: datetime, ring: bool = True) -> list[PlanningRun]:
    """Ask for a plan of the rest of today where a crew was turned away and none was asked for.

    One run answers all of a branch that wait. While another run of the branch is under way they
    go on waiting: whoever ends that run, and every sweep, calls this again.
    """
    waiting = TurnedAway.objects.unplanned().order_by("branch").values_list("branch", flat=True)
    asked = []
    for branch in Branch.objects.filter(pk__in=list(waiting.distinct())):
        try:
            run = _replan(branch, now, ring)
        except IntegrityError:
            # Two at once: the constraint let one in; what is left over waits for the next call.
            run = None
        asked += [run] if run else []
    return asked


def replans_due(*, now: datetime, ring: bool = True) -> list[PlanningRun]:
    """Do the same beside something that must not fail with it: what is left waits for the sweep."""
    try:
        return replans_ask(now=now, ring=ring)
    except Exception:
        log.exception("the rest of a day was not planned anew; the sweep asks again")
        return []


def rest_ask(*, actor: Actor, branch: Branch, now: datetime, ring: bool = True) -> PlanningRun:
    """Ask for a plan of the rest of today by hand; a branch with a run under way gets that one.

    Raises PlanRefused where today is no day of work that can still be planned.
    """
    under_way = PlanningRun.objects.under_way().filter(branch=branch)
    today = local_date(branch, now)
    run = under_way.first()
    if run is not None:
        return run
    told = _told(branch, today)
    asked = question(branch, IsoWeek.of(today), 1, today, rest_at=now)
    try:
        return _ask(told=told, branch=branch, asked=asked, actor=actor, now=now, ring=ring)
    except IntegrityError:
        # Two clicks at once: the constraint let one in, and it is this one's run as well.
        run = under_way.first()
        if run is None:
            raise
        return run


def _replan(branch: Branch, now: datetime, ring: bool) -> PlanningRun | None:
    """Ask for one branch. The day is read before anything is locked: phones wait for no reading."""
    today = local_date(branch, now)
    rows = TurnedAway.objects.unplanned().filter(branch=branch)
    rows.exclude(day=today).update(no_plan=DAY_IS_OVER)
    waiting = list(rows.select_related("fact__person"))
    if not waiting or PlanningRun.objects.under_way().filter(branch=branch).exists():
        return None
    told = _told(branch, today)
    try:
        asked = question(branch, IsoWeek.of(today), 1, today, rest_at=now)
    except PlanRefused as refused:
        rows.filter(pk__in=told).update(no_plan=refused.sentence[:200])
        return None
    first = waiting[0].fact
    actor = Actor(who=first.who, source=Event.Source.PHONE, user=first.person)
    return _ask(told=told, branch=branch, asked=asked, actor=actor, now=now, ring=ring)


def _told(branch: Branch, today: date) -> list[UUID]:
    """Tell who was turned away today and has no accepted plan; read before the day, so that whoever
    comes in between is not taken for answered.
    """
    rows = TurnedAway.objects.filter(branch=branch, day=today)
    return list(rows.exclude(run__verdict=Verdict.ACCEPTED).values_list("pk", flat=True))


@transaction.atomic
def _ask(
    *,
    told: list[UUID],
    branch: Branch,
    asked: dict[str, Any],
    actor: Actor,
    now: datetime,
    ring: bool,
) -> PlanningRun:
    """Make the run that answers all who were told of, with those whose older plan it overtakes."""
    today = local_date(branch, now)
    run = PlanningRun.objects.create(
        branch=branch,
        first_monday=IsoWeek.of(today).monday,
        weeks=1,
        seconds=SECONDS,
        rest_from=now,
        asked_by=actor.user,
        asked_at=now,
        rung_at=now,
        **asked,
    )
    TurnedAway.objects.filter(pk__in=told).update(run=run, no_plan="")
    what = {"weeks": [str(run.first)], "turned_away": [str(pk) for pk in told]}
    event_record(actor=actor, now=now, verb="asked for", thing=run, branch=branch, what=what)
    _overtake(run, actor, now)
    if ring:
        doorbell(run.pk)
    return run


def _overtake(run: PlanningRun, actor: Actor, now: datetime) -> None:
    """Throw away what was proposed for the same rest before: it knows less."""
    older = PlanningRun.objects.proposals().filter(branch=run.branch, rest_from__lt=run.rest_from)
    for other in older:
        if (
            PlanningRun.objects.proposals()
            .filter(pk=other.pk)
            .update(verdict=Verdict.THROWN_AWAY, decided_at=now)
        ):
            what = {"overtaken_by": run.pk}
            event_record(
                actor=actor, now=now, verb="thrown away", thing=other, branch=run.branch, what=what
            )
