"""Time that crews lost where they were turned away, by builder; changes nothing."""

from collections.abc import Mapping
from datetime import date

from contractor.access import Scope
from jobs.lost_time import LostTime
from scheduling.models import Fact
from scheduling.progress import DayFact
from scheduling.progress.day import ARRIVED, FINISHED, SET_OUT, STARTED, TURNED_AWAY
from scheduling.progress.visits import lost

TELLING = (SET_OUT, ARRIVED, STARTED, FINISHED, TURNED_AWAY)


def lost_time(
    scope: Scope, *, builder_id: int | None = None, branch_id: int | None = None
) -> Mapping[int, LostTime]:
    """Return what was lost at the houses of each builder; two statements."""
    away = Fact.objects.visible_to(scope).filter(kind=TURNED_AWAY)
    if builder_id is not None:
        away = away.filter(job__site__builder=builder_id)
    if branch_id is not None:
        away = away.filter(crew__branch=branch_id)
    houses = away.order_by().values_list("crew", "day", "job", "job__site__builder").distinct()
    visits = sorted(houses)
    said = _said({(crew, day) for crew, day, *_ in visits})
    found: dict[int, LostTime] = {}
    for crew, day, job, builder in visits:
        gone = lost(said.get((crew, day), []), job)
        more = LostTime(gone.times, gone.minutes)
        found[builder] = found.get(builder, LostTime()) + more
    return found


def _said(crew_days: set[tuple[int, date]]) -> dict[tuple[int, date], list[DayFact]]:
    """Return what the crews of those days said of where they were."""
    if not crew_days:
        return {}
    crews = {crew for crew, _ in crew_days}
    days = {day for _, day in crew_days}
    facts = Fact.objects.filter(crew__in=crews, day__in=days, kind__in=TELLING)
    found: dict[tuple[int, date], list[DayFact]] = {}
    rows = facts.values_list("crew", "day", "id", "kind", "happened_at", "job", "step_kind")
    for crew, day, pk, kind, at, job, step in rows.order_by("happened_at", "id"):
        if (crew, day) in crew_days:
            found.setdefault((crew, day), []).append(DayFact(str(pk), kind, at, job, step))
    return found
