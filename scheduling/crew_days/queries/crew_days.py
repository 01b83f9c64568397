"""Posted crew-days as crews see them: where, when, with whom, what to load; changes nothing."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from functools import partial
from itertools import pairwise

from django.db.models import Prefetch, Q, QuerySet
from django.utils.translation import gettext

from contractor.access import Scope
from contractor.models import Branch
from jobs.catalogue.rows import job_condition
from jobs.conditions.readiness import SEEN_FIRST_GATES
from jobs.conditions.words import HOLDING_GATES, STEP_NAMES, US
from jobs.estimating import loads_read
from jobs.models import Condition
from scheduling.arrivals.queries.clock import crew_day_times, window_of
from scheduling.gather.rows import YARD, costs_of, drives_between, measured_read
from scheduling.models import CrewDay, Part, Stop
from scheduling.progress import VisitTimes
from scheduling.weeks.queries.marks import readiness_marks
from scheduling.weeks.queries.strips import setup_minutes
from scheduling.weeks.shapes import (
    CrewDayLine,
    CrewDayPage,
    CrewStop,
    StripPart,
    TruckLoad,
)

BAG_UNITS = ("bag", "bags")


def crew_days_of(*, scope: Scope, today: date, days: int = 14) -> tuple[CrewDayLine, ...]:
    """Return the posted crew-days from today on that a person sees, by date and crew."""
    last = today + timedelta(days=days - 1)
    stops = Stop.objects.select_related("job__site")
    crew_days = _posted(scope).filter(date__range=(today, last)).order_by("date", "crew__name")
    return tuple(
        CrewDayLine(
            crew=crew_day.crew,
            date=crew_day.date,
            stops=tuple(str(stop.job) for stop in crew_day.stops.all()),
            minutes=sum(p.minutes for stop in crew_day.stops.all() for p in stop.parts.all()),
        )
        for crew_day in crew_days.prefetch_related(_with_parts(stops))
    )


def crew_day_page(*, scope: Scope, crew_id: int, day: date) -> CrewDayPage | None:
    """Return a posted crew-day, None where there is none or it is not the person's."""
    needed = Condition.objects.filter(needed=True)
    crew_day = _loaded(scope, day, needed).filter(crew_id=crew_id).first()
    if crew_day is None:
        return None
    return _page(crew_day, measured_read(crew_day.crew.branch), tells_readiness=True)


def crew_day_pages(*, scope: Scope, branch: Branch, day: date) -> tuple[CrewDayPage, ...]:
    """Return all posted crew-days of a yard's day that a person sees, by crew.

    Of the conditions those that can hold a crew up at the door; how ready each house is as a
    whole stays untold.
    """
    awaited = Q(gate__in=HOLDING_GATES) & ~Q(owed_by=US)
    at_the_door = Condition.objects.filter(awaited | Q(gate__in=SEEN_FIRST_GATES), needed=True)
    posted = _loaded(scope, day, at_the_door).filter(crew__branch=branch)
    crew_days = list(posted.order_by("crew__name", "pk"))
    measured = measured_read(branch)
    return tuple(_page(crew_day, measured, tells_readiness=False) for crew_day in crew_days)


def _loaded(scope: Scope, day: date, conditions: QuerySet[Condition]) -> QuerySet[CrewDay]:
    """Return posted crew-days with all a page of them says; a constant number of statements."""
    needed = Prefetch("job__conditions", conditions)
    stops = Stop.objects.select_related(
        "job__site__builder", "job__site__superintendent", "job__site__branch"
    ).prefetch_related(needed)
    crew_days = _posted(scope).filter(date=day).select_related("crew__branch__costs")
    return crew_days.prefetch_related("machines", "crew__members", _with_parts(stops))


def _posted(scope: Scope) -> QuerySet[CrewDay]:
    return CrewDay.objects.visible_to(scope).posted().select_related("crew")


def _with_parts(stops: QuerySet[Stop]) -> "Prefetch[str, QuerySet[Stop], str]":
    parts = Prefetch("parts", Part.objects.select_related("step").order_by("step__position"))
    return Prefetch("stops", stops.prefetch_related(parts))


def _page(
    crew_day: CrewDay, measured: Mapping[tuple[str, str], int], tells_readiness: bool
) -> CrewDayPage:
    branch = crew_day.crew.branch
    drives = drives_between(branch, [stop.job.site for stop in crew_day.stops.all()], measured)
    times = crew_day_times(crew_day, drives)
    places = {stop.job_id: stop.job.site.place for stop in crew_day.stops.all()}
    route = [YARD, *(places[visit.job] for visit in times.visits), YARD]
    minutes = [drives.minutes(start, end) for start, end in pairwise(route)]
    shown = tuple(
        _stop(stop, branch, visit, drive_minutes, tells_readiness)
        for stop, visit, drive_minutes in zip(
            crew_day.stops.all(), times.visits, minutes, strict=False
        )
    )
    return CrewDayPage(
        crew=crew_day.crew,
        branch=branch,
        date=crew_day.date,
        start=branch.day_start,
        end=times.ends_at.time(),
        members=tuple(m.name for m in crew_day.crew.members.all() if m.active),
        machines=tuple(machine.name for machine in crew_day.machines.all()),
        stops=shown,
        home_minutes=minutes[-1],
        loads=_sum(load for stop in shown for load in stop.loads),
        version_id=crew_day.version_id,
        times=times,
        clock=partial(crew_day_times, crew_day, drives),
    )


def _stop(
    stop: Stop, branch: Branch, visit: VisitTimes, drive_minutes: int, tells_readiness: bool
) -> CrewStop:
    job, parts = stop.job, list(stop.parts.all())
    conditions = tuple(job.conditions.all())
    ready = None
    if tells_readiness:
        known = [job_condition(row) for row in conditions]
        ready = readiness_marks(job, known, {part.step.kind for part in parts})
    return CrewStop(
        job=job,
        drive_minutes=drive_minutes,
        arrive=visit.arrive_at.time(),
        leave=visit.leave_at.time(),
        setup_minutes=setup_minutes(job, costs_of(branch).people_per_crew),
        parts=tuple(_part(part) for part in parts),
        loads=_loads(parts),
        ready=ready,
        conditions=conditions,
        window=window_of(branch, visit.arrive_at),
    )


def _part(part: Part) -> StripPart:
    step = part.step
    name = gettext(STEP_NAMES[step.kind])
    bags = [load.quantity for load in _loads([part]) if load.unit in BAG_UNITS]
    return StripPart(
        step.pk, step.kind, name, part.minutes, part.step_minutes, sum(bags) if bags else None
    )


def _loads(parts: Sequence[Part]) -> tuple[TruckLoad, ...]:
    """Return what the parts need: of a divided step the share of the day."""
    return _sum(
        TruckLoad(
            load.item,
            float(load.quantity) * part.minutes / part.step_minutes,
            load.unit,
        )
        for part in parts
        for load in loads_read(part.step.loads)
    )


def _sum(loads: Iterable[TruckLoad]) -> tuple[TruckLoad, ...]:
    amounts: dict[tuple[str, str], float] = {}
    for load in loads:
        key = (load.item, load.unit)
        amounts[key] = amounts.get(key, 0.0) + load.quantity
    return tuple(
        TruckLoad(item, round(amount, 2), unit) for (item, unit), amount in amounts.items()
    )
