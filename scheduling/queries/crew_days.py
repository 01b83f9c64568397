"""Posted crew-days as crews see them: where, when, with whom, what to load; changes nothing."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.db.models import Prefetch, QuerySet
from django.utils.translation import gettext

from contractor.access import Scope
from jobs.conditions.words import STEP_NAMES
from jobs.conditions_rows import job_condition
from jobs.models import Job
from scheduling.gather.rows import YARD, Drives, costs_of, drives_between, measured_read
from scheduling.models import CrewDay, Part, Stop
from scheduling.queries.marks import Teller
from scheduling.queries.shapes import CrewDayLine, CrewDayPage, CrewStop, Load, StripPart
from scheduling.queries.strips import setup_minutes

BAG_UNITS = ("bag", "bags")


def crew_days_of(*, scope: Scope, today: date, days: int = 14) -> tuple[CrewDayLine, ...]:
    """Return the posted crew-days from today on that a person sees, by date and crew."""
    last = today + timedelta(days=days - 1)
    crew_days = _posted(scope).filter(date__range=(today, last)).order_by("date", "crew__name")
    return tuple(
        CrewDayLine(
            crew=crew_day.crew,
            date=crew_day.date,
            stops=tuple(str(stop.job) for stop in crew_day.stops.all()),
            minutes=sum(p.minutes for stop in crew_day.stops.all() for p in stop.parts.all()),
        )
        for crew_day in crew_days.prefetch_related(_stops(Job.objects.select_related("site")))
    )


def crew_day_page(*, scope: Scope, crew_id: int, day: date) -> CrewDayPage | None:
    """Return a posted crew-day, None where there is none or it is not the person's."""
    jobs = Job.objects.select_related(
        "site__builder", "site__superintendent", "site__branch"
    ).prefetch_related("conditions")
    crew_day = (
        _posted(scope)
        .filter(crew_id=crew_id, date=day)
        .select_related("crew__branch__costs")
        .prefetch_related("machines", "crew__members", _stops(jobs))
        .first()
    )
    return None if crew_day is None else _page(crew_day)


def _posted(scope: Scope) -> QuerySet[CrewDay]:
    return CrewDay.objects.visible_to(scope).posted().select_related("crew")


def _stops(jobs: QuerySet[Job]) -> "Prefetch[str, QuerySet[Stop], str]":
    parts = Prefetch("parts", Part.objects.select_related("step").order_by("step__position"))
    return Prefetch("stops", Stop.objects.prefetch_related(Prefetch("job", jobs), parts))


def _page(crew_day: CrewDay) -> CrewDayPage:
    branch = crew_day.crew.branch
    stops = list(crew_day.stops.all())
    drives = drives_between(branch, [stop.job.site for stop in stops], measured_read(branch))
    tour = _Tour(drives, costs_of(branch).people_per_crew, crew_day.date, branch.day_start)
    shown = tuple(_stop(stop, tour) for stop in stops)
    home_minutes = tour.drive(YARD)
    return CrewDayPage(
        crew=crew_day.crew,
        branch=branch,
        date=crew_day.date,
        start=branch.day_start,
        end=tour.at,
        members=tuple(m.name for m in crew_day.crew.members.all() if m.active),
        machines=tuple(machine.name for machine in crew_day.machines.all()),
        stops=shown,
        home_minutes=home_minutes,
        loads=_sum(load for stop in shown for load in stop.loads),
    )


@dataclass
class _Tour:
    """Where a crew is, and what time it is there, in the course of its day.

    The time is that of the wall: a day starts at seven whatever the clocks did in the night.
    """

    drives: Drives
    people: int
    day: date
    at: time
    here: str = YARD

    def drive(self, place: str) -> int:
        """Drive to a place and return the minutes."""
        minutes = self.drives.minutes(self.here, place)
        self.here = place
        self.stay(minutes)
        return minutes

    def stay(self, minutes: int) -> time:
        """Let so many minutes go by and return the time then."""
        self.at = (datetime.combine(self.day, self.at) + timedelta(minutes=minutes)).time()
        return self.at


def _stop(stop: Stop, tour: _Tour) -> CrewStop:
    job, parts = stop.job, list(stop.parts.all())
    drive_minutes = tour.drive(job.site.place)
    setup = setup_minutes(job, tour.people)
    conditions = tuple(job.conditions.all())
    known = [job_condition(row) for row in conditions]
    ready = Teller().readiness(job, known, {part.step.kind for part in parts})
    return CrewStop(
        job=job,
        drive_minutes=drive_minutes,
        arrive=tour.at,
        leave=tour.stay(setup + sum(part.minutes for part in parts)),
        setup_minutes=setup,
        parts=tuple(_part(part) for part in parts),
        loads=_loads(parts),
        line=ready.line,
        count=ready.count,
        open=ready.open,
        conditions=conditions,
    )


def _part(part: Part) -> StripPart:
    step = part.step
    name = gettext(STEP_NAMES[step.kind])
    bags = [load.quantity for load in _loads([part]) if load.unit in BAG_UNITS]
    return StripPart(
        step.pk, step.kind, name, part.minutes, part.step_minutes, sum(bags) if bags else None
    )


def _loads(parts: Sequence[Part]) -> tuple[Load, ...]:
    """What the parts need: of a divided step the share of the day."""
    return _sum(
        Load(
            load["item"],
            float(load["quantity"]) * part.minutes / part.step_minutes,
            load.get("unit", ""),
        )
        for part in parts
        for load in part.step.loads
    )


def _sum(loads: Iterable[Load]) -> tuple[Load, ...]:
    amounts: dict[tuple[str, str], float] = {}
    for load in loads:
        key = (load.item, load.unit)
        amounts[key] = amounts.get(key, 0.0) + load.quantity
    return tuple(Load(item, round(amount, 2), unit) for (item, unit), amount in amounts.items())
