"""Posted crew-days by the clock: rows to times of arrival, meal and end; changes nothing."""

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Prefetch, QuerySet

from contractor.models import Branch
from jobs.localtime import local_date
from jobs.models import Job
from scheduling.gather.rows import YARD, Drives, costs_of, drives_between, measured_read
from scheduling.models import CrewDay, Part, Stop
from scheduling.progress import (
    DayProgress,
    DayTimes,
    MealRule,
    PlannedStep,
    TimedVisit,
    VisitTimes,
    Window,
    arrival_window,
    day_start,
    day_times,
)
from scheduling.weeks.queries.strips import setup_minutes

# Of a crew-day and its drives the times to expect, None where nothing was said of it.
Expect = Callable[[CrewDay, Drives], DayTimes | None]


@dataclass(frozen=True)
class PostedVisit:
    """A visit of a posted week: when the crew is there by the plan, and the window to be told.

    expected_at: the arrival by what was said of the day so far; None where nothing was asked for.
    """

    stop: Stop
    crew_day: CrewDay
    times: VisitTimes
    window: Window
    expected_at: datetime | None = None

    @property
    def job(self) -> Job:
        """The house."""
        return self.stop.job

    @property
    def minutes(self) -> int:
        """The minutes of work there."""
        return sum(part.minutes for part in self.stop.parts.all())

    @property
    def day(self) -> date:
        """The day of the visit."""
        return self.crew_day.date

    @property
    def branch(self) -> Branch:
        """The yard that sends the crew."""
        return self.crew_day.crew.branch


def crew_day_times(
    crew_day: CrewDay,
    drives: Drives,
    *,
    progress: DayProgress | None = None,
    now: datetime | None = None,
) -> DayTimes:
    """Return the times of a crew-day whose stops, parts, steps and sites are loaded; no statement.

    Without progress as planned; with it, as expected from what was said.
    """
    branch, stops = crew_day.crew.branch, list(crew_day.stops.all())
    people = costs_of(branch).people_per_crew
    places = {stop.job_id: stop.job.site.place for stop in stops}

    def drive(start: int | None, end: int | None) -> int:
        return drives.minutes(*(YARD if job is None else places[job] for job in (start, end)))

    return day_times(
        starts_at=day_start(crew_day.date, branch.day_start, branch.time_zone),
        visits=[_visit(stop, people) for stop in stops],
        drive=drive,
        meal=MealRule(branch.meal_minutes, branch.meal_latest_minutes),
        progress=progress,
        now=now,
    )


def window_of(branch: Branch, arrive_at: datetime) -> Window:
    """Return the window builder and owner are told of an arrival: never before the crew starts."""
    window = arrival_window(arrive_at, branch.window_before_minutes, branch.window_after_minutes)
    start = day_start(local_date(branch, arrive_at), branch.day_start, branch.time_zone)
    return Window(max(window.from_at, arrival_window(start, 0, 0).from_at), window.to_at)


def visits_next(job_ids: Iterable[int], first: date) -> dict[int, PostedVisit]:
    """Return the next posted visit of each house from a day on; four statements a branch."""
    wanted = frozenset(job_ids)
    posted = CrewDay.objects.posted().filter(date__gte=first, stops__job__in=wanted)
    visits = visits_of(clocked(posted.distinct()))
    in_order = sorted(visits, key=lambda visit: visit.day, reverse=True)
    return {visit.job.pk: visit for visit in in_order if visit.job.pk in wanted}


def visits_on(job_ids: Collection[int], day: date) -> dict[int, PostedVisit]:
    """Return a day's posted visits to these houses, by job; no statement if there is no house."""
    if not job_ids:
        return {}
    posted = CrewDay.objects.posted().filter(date=day, stops__job__in=job_ids)
    visits = visits_of(clocked(posted.distinct()))
    return {visit.job.pk: visit for visit in visits if visit.job.pk in job_ids}


def visits_of(crew_days: Iterable[CrewDay], so_far: Expect | None = None) -> list[PostedVisit]:
    """Return all visits of loaded crew-days with their times; a statement for each branch.

    so_far: of a crew-day the times to expect, None where nothing was said of it.
    """
    found = []
    for branch, days in _by_branch(crew_days).items():
        drives = drives_of(branch, days)
        for crew_day in days:
            times = {visit.job: visit for visit in crew_day_times(crew_day, drives).visits}
            now = so_far(crew_day, drives) if so_far else None
            for stop in crew_day.stops.all():
                at = times[stop.job_id]
                expected_at = now.of(stop.job_id).arrive_at if now else None
                found.append(
                    PostedVisit(stop, crew_day, at, window_of(branch, at.arrive_at), expected_at)
                )
    return found


def clocked(crew_days: "QuerySet[CrewDay]") -> list[CrewDay]:
    """Return the crew-days with all their times need; a statement each for days, stops, parts."""
    parts = Prefetch("parts", Part.objects.select_related("step").order_by("step__position"))
    stops = Stop.objects.select_related("job__site__superintendent").prefetch_related(parts)
    loaded = crew_days.select_related("crew__branch__costs")
    return list(loaded.prefetch_related(Prefetch("stops", stops)))


def drives_of(branch: Branch, crew_days: Sequence[CrewDay]) -> Drives:
    """Return the drives between a yard and all houses of some crew-days; one statement."""
    sites = [stop.job.site for crew_day in crew_days for stop in crew_day.stops.all()]
    return drives_between(branch, sites, measured_read(branch))


def _by_branch(crew_days: Iterable[CrewDay]) -> dict[Branch, list[CrewDay]]:
    found: dict[Branch, list[CrewDay]] = {}
    for crew_day in crew_days:
        found.setdefault(crew_day.crew.branch, []).append(crew_day)
    return found


def _visit(stop: Stop, people: int) -> TimedVisit:
    parts = tuple(PlannedStep(part.step.kind, part.minutes) for part in stop.parts.all())
    return TimedVisit(stop.job_id, setup_minutes(stop.job, people), parts)
