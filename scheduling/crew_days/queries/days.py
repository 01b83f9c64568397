"""Crew-days with what was said of them and how far they have come; changes nothing."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from django.db.models import QuerySet

from contractor.access import Scope
from jobs.catalogue.rows import entry_of, job_condition
from jobs.conditions.readiness import SEEN_FIRST_GATES
from jobs.conditions.states import SEEN_DONE, TAKEN_OVER, WAIVED
from jobs.conditions.words import HOLDING_GATES, US
from jobs.models import Condition
from scheduling.crew_days.queries.crew_days import crew_day_page
from scheduling.gather.day_facts import day_fact
from scheduling.models import Fact
from scheduling.progress import (
    Check,
    DayFact,
    DayPlan,
    DayProgress,
    PlannedStep,
    PlannedStop,
    day_progress,
)
from scheduling.progress.day import CHECKED, NOT_TRUE
from scheduling.progress.next_stop import stop_ready
from scheduling.weeks.shapes import CrewDayPage, CrewStop

SEEN = (SEEN_DONE, WAIVED, TAKEN_OVER)


@dataclass(frozen=True)
class DayStatus:
    """A posted crew-day, the facts said of it in the order in which things happened, and how far.

    facts: all of them, also of houses that the posted day does not hold any more.
    """

    page: CrewDayPage
    plan: DayPlan
    facts: tuple[Fact, ...]
    progress: DayProgress


def day_status(*, scope: Scope, crew_id: int, day: date) -> DayStatus | None:
    """Return a posted crew-day with its facts; None where there is none or it is not yours."""
    page = crew_day_page(scope=scope, crew_id=crew_id, day=day)
    if page is None:
        return None
    facts = Fact.objects.filter(crew_id=crew_id, day=day).select_related("picture")
    return status_of(page, facts.with_figures())


def status_of(page: CrewDayPage, facts: Iterable[Fact]) -> DayStatus:
    """Return the same from a page and its facts, which were read together with others."""
    plan = plan_of(page)
    known = tuple(facts)
    return DayStatus(page, plan, known, day_progress(plan, map(lead_fact, known)))


def facts_of(*, crew_ids: Iterable[int], day: date) -> "QuerySet[Fact]":
    """Return the facts of crews on a day, in the order in which things happened; two statements."""
    facts = Fact.objects.filter(crew_id__in=list(crew_ids), day=day)
    return facts.select_related("picture").prefetch_related("corrections")


def plan_of(page: CrewDayPage) -> DayPlan:
    """Return a page's day as the pure rules know it."""
    return DayPlan(page.crew.pk, page.date, tuple(_stop(stop) for stop in page.stops))


def lead_fact(fact: Fact) -> DayFact:
    """Return a row as the pure rules know it where they lead a crew through its day.

    That something is true, said by who may not clear it or before the office knew better, is no
    answer: the condition still has to be seen.
    """
    known = day_fact(fact)
    is_answer = fact.kind != CHECKED or not fact.left_out or known.what.get("answer") == NOT_TRUE
    return known if is_answer else replace(known, condition=None)


def _stop(stop: CrewStop) -> PlannedStop:
    kinds = {part.kind for part in stop.parts}
    return PlannedStop(
        job=stop.job.pk,
        steps=tuple(PlannedStep(part.kind, part.minutes, part.bags) for part in stop.parts),
        checks=tuple(
            Check(row.pk, tuple(sorted(kinds & set(row.holds))))
            for row in stop.conditions
            if _is_to_see(row, kinds)
        ),
        ready=stop_ready(kinds, map(job_condition, stop.conditions)),
    )


def is_our_own_step(row: Condition) -> bool:
    """Tell whether a step of ours brings it about, so that the order of the steps sees to it."""
    entry = entry_of(row)
    return row.owed_by == US and entry is not None and bool(entry.follows)


def _is_to_see(row: Condition, kinds: set[str]) -> bool:
    """Tell whether today's steps wait until somebody sees it; not what our own steps bring about.

    Of what we owe ourselves, only what safety or law asks: walk boards, lead paint, foam.
    """
    return (
        row.needed
        and row.gate in (HOLDING_GATES if row.owed_by != US else SEEN_FIRST_GATES)
        and not is_our_own_step(row)
        and row.state not in SEEN
        and bool(kinds & set(row.holds))
    )
