"""Asks for plans of the rest of a day on which a crew was turned away; decides nothing."""

import logging
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction

from contractor.events import Actor, event_record
from contractor.models import Branch, Event
from contractor.workdays import IsoWeek
from jobs.localtime import local_date
from scheduling.models import PlanningRun, TurnedAway
from scheduling.runs import doorbell
from scheduling.services.refusals import PlanRefused
from scheduling.services.runs import question

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
    """The same beside something that must not fail with it: what is left waits for the sweep."""
    try:
        return replans_ask(now=now, ring=ring)
    except Exception:
        log.exception("the rest of a day was not planned anew; the sweep asks again")
        return []


def _replan(branch: Branch, now: datetime, ring: bool) -> PlanningRun | None:
    """Ask for one branch. The day is read before anything is locked: phones wait for no reading."""
    today = local_date(branch, now)
    rows = TurnedAway.objects.unplanned().filter(branch=branch)
    rows.exclude(day=today).update(no_plan=DAY_IS_OVER)
    told = list(rows.select_related("branch", "fact__person"))
    if not told or PlanningRun.objects.under_way().filter(branch=branch).exists():
        return None
    rows = rows.filter(pk__in=[row.pk for row in told])
    try:
        asked = question(branch, IsoWeek.of(today), 1, today, rest_at=now)
    except PlanRefused as refused:
        rows.update(no_plan=refused.sentence[:200])
        return None
    return _ask(told, asked, now, ring)


@transaction.atomic
def _ask(
    told: Sequence[TurnedAway], asked: dict[str, Any], now: datetime, ring: bool
) -> PlanningRun | None:
    """Make the run for those who still wait; None where somebody else asked meanwhile."""
    branch, first = told[0].branch, told[0].fact
    week = IsoWeek.of(told[0].day)
    run = PlanningRun.objects.create(
        branch=branch,
        first_monday=week.monday,
        weeks=1,
        seconds=SECONDS,
        rest_from=now,
        asked_by=first.person,
        asked_at=now,
        rung_at=now,
        **asked,
    )
    rows = TurnedAway.objects.unplanned().filter(pk__in=[row.pk for row in told])
    if not rows.update(run=run):
        run.delete()
        return None
    actor = Actor(who=first.who, source=Event.Source.PHONE, user=first.person)
    what = {"weeks": [str(week)], "turned_away": [str(row.pk) for row in told]}
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
