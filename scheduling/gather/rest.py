"""Reads what is left of a day that has begun: crews, their places, trucks and houses; no plan."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from math import ceil
from zoneinfo import ZoneInfo

from django.db.models import Prefetch, QuerySet

from contractor.models import Branch
from contractor.plan_ids import crew_plan_id, row_of
from jobs.conditions.states import OWED
from jobs.models import Condition, Site
from scheduling.gather.cases import Closed
from scheduling.gather.placed import Placement
from scheduling.gather.placements import Placements
from scheduling.gather.rows import Drives, costs_of, drives_between, measured_read
from scheduling.gather.said import said_of
from scheduling.models import CrewDay, Fact, Part, Stop, WeekVersion
from scheduling.planning import problem as planner
from scheduling.planning.problem import Assignment
from scheduling.progress import DayPlan, PlannedStep, PlannedStop, day_progress
from scheduling.progress.rest import CrewRest, Paper, crew_rest

YARD = "yard"


@dataclass(frozen=True)
class CrewStanding:
    """A crew in the middle of its day: what is left of it, and the machines on its truck."""

    rest: CrewRest
    kinds: frozenset[str]

    @property
    def is_at_yard(self) -> bool:
        """Whether it has not set out yet, so that it can load something else."""
        return self.rest.at_job is None and not self.rest.begun


@dataclass(frozen=True)
class Rest:
    """What is left of one day of a branch from a moment on, as far as its facts tell.

    crews: those with a posted day or a word on it. owed: by job the kinds of step that wait for
    something that a crew found missing and that nobody has promised or seen since.
    """

    branch: Branch
    day: date
    at: datetime
    starts_at: datetime
    crews: Mapping[int, CrewStanding]
    sites: Mapping[int, Site]
    owed: Mapping[int, frozenset[str]]

    def closed(self, read: Placements) -> Closed:
        """Houses where a crew is or was today are open to no other work on that day.

        A house that is on nobody's plan can fill a gap of today; the days after it stand.
        """
        rests = [standing.rest for standing in self.crews.values()]
        jobs = {job for rest in rests for job in (*rest.begun, *rest.away)}
        on_plan = {part.job_id for part in (*read.effective, *read.posted)}
        return Closed(frozenset(jobs), self.owed, frozenset(on_plan))

    def is_begun(self, crew: str, job: str) -> bool:
        """Whether a house is one that a crew has begun today, by the planner's names."""
        standing = self.crews.get(row_of(crew))
        return standing is not None and row_of(job) in standing.rest.begun

    def is_done(self, part: Placement) -> bool:
        """Whether a part of the posted day is over by the time that its crew is free."""
        standing = self.crews.get(part.crew_id)
        if part.day != self.day or standing is None:
            return False
        return standing.rest.is_done(part.job_id, part.step_kind)

    def over(self, read: Placements) -> Placements:
        """Mark what is over today as done, as it was posted, whatever a draft makes of it."""
        done = tuple(self._done(part) for part in read.posted if self.is_done(part))
        steps = {part.step_id for part in done}
        effective, posted = (
            tuple(p for p in parts if p.day != self.day or p.step_id not in steps)
            for parts in (read.effective, read.posted)
        )
        return Placements(tuple(sorted((*effective, *done), key=_in_order)), posted)

    def crew(self, crew: planner.Crew, days: int) -> planner.Crew:
        """Return a crew with what it has left of the first day, from where it then is."""
        standing = self.crews.get(row_of(crew.id))
        free_at = standing.rest.free_at if standing else max(self.at, self.starts_at)
        whole = self.branch.day_minutes
        left = max(0, whole - self._worked_minutes(free_at))
        minutes = crew.minutes[0] * left // whole if whole else 0
        starts = (self.place(standing), *(crew.home,) * (days - 1))
        is_home = starts[0] == crew.home
        minutes_by_day = (minutes, *crew.minutes[1:])
        return replace(crew, minutes=minutes_by_day, starts=() if is_home else starts)

    def place(self, standing: CrewStanding | None) -> str:
        """Where a crew is when it is free, as the planner names places."""
        site = self.sites.get(standing.rest.at_job or 0) if standing else None
        return site.place if site else YARD

    def barred(self, problem: planner.Problem) -> tuple[Assignment, ...]:
        """A machine stays on its truck: who has none with it today cannot start what needs one.

        Crews that have not set out share what is left in the yard, by name.
        """
        homely = [crew.id for crew in problem.crews if self._is_homely(crew.id)]
        found = []
        for kind in {machine.kind for machine in problem.machines}:
            spare = self._spare(problem, kind)
            may = {*self._carriers(kind), *(c for c in homely[:spare])}
            found += [
                Assignment(step.id, crew, 0)
                for job in problem.jobs
                for step in job.steps
                if step.machine == kind and step.risk[0] < 1
                for crew in step.minutes
                if crew not in may
            ]
        return tuple(found)

    def _is_homely(self, crew: str) -> bool:
        standing = self.crews.get(row_of(crew))
        return standing is None or standing.is_at_yard

    def _carriers(self, kind: str) -> list[str]:
        return [crew_plan_id(pk) for pk, standing in self.crews.items() if kind in standing.kinds]

    def _spare(self, problem: planner.Problem, kind: str) -> int:
        there = next(m.available[0] for m in problem.machines if m.kind == kind)
        return max(0, there - len(self._carriers(kind)))

    def _done(self, part: Placement) -> Placement:
        """Of a step that is left unfinished a share of what was planned counts as done."""
        rest = self.crews[part.crew_id].rest
        share = rest.left_over.get((part.job_id, part.step_kind), 1.0)
        return replace(part, minutes=max(1, int(part.minutes * share)), is_done=True)

    def _worked_minutes(self, at: datetime) -> int:
        """Minutes of the day gone by at a moment, without the meal once its time is over."""
        gone = ceil((at - self.starts_at).total_seconds() / 60)
        meal = self.branch.meal_minutes
        has_eaten = gone >= self.branch.meal_latest_minutes + meal
        return max(0, gone - meal if has_eaten else gone)


def _in_order(part: Placement) -> tuple[date, bool]:
    return part.day, not part.is_done


def rest_read(branch: Branch, day: date, at: datetime) -> Rest:
    """Read what is left of a branch's day from a moment on; nine queries."""
    posted = {crew_day.crew_id: crew_day for crew_day in _posted(branch, day)}
    said: dict[int, list[Fact]] = {}
    for fact in _facts(branch, day):
        said.setdefault(fact.crew_id, []).append(fact)
    sites = _sites(posted.values(), said.values())
    starts_at = datetime.combine(day, branch.day_start, ZoneInfo(branch.time_zone))
    reader = _Reader(branch, starts_at, at, sites)
    crews = {pk: reader.standing(day, posted.get(pk), said.get(pk, [])) for pk in {*posted, *said}}
    return Rest(branch, day, at, starts_at, crews, sites, _owed(said.values()))


def has_begun(branch: Branch, day: date) -> bool:
    """Whether any crew said anything of its day; one query."""
    return Fact.objects.filter(crew__branch=branch, day=day).exists()


def _posted(branch: Branch, day: date) -> QuerySet[CrewDay]:
    parts = Prefetch("parts", Part.objects.select_related("step").order_by("step__position"))
    stops = Stop.objects.select_related("job__site").prefetch_related(parts)
    crew_days = CrewDay.objects.filter(
        version__state=WeekVersion.State.POSTED, crew__branch=branch, date=day
    )
    return crew_days.prefetch_related("machines", Prefetch("stops", stops)).order_by("crew_id")


def _facts(branch: Branch, day: date) -> QuerySet[Fact]:
    facts = Fact.objects.filter(crew__branch=branch, day=day, job__isnull=False)
    return facts.select_related("job__site").prefetch_related("corrections")


def _sites(crew_days: Iterable[CrewDay], said: Iterable[Sequence[Fact]]) -> dict[int, Site]:
    jobs = [stop.job for crew_day in crew_days for stop in crew_day.stops.all()]
    jobs += [fact.job for facts in said for fact in facts if fact.job is not None]
    return {job.pk: job.site for job in jobs}


def _owed(said: Iterable[Sequence[Fact]]) -> dict[int, frozenset[str]]:
    """What crews found missing today and nobody has promised, seen or waived since, by job."""
    missing: dict[int, datetime] = {}
    for fact in (fact for facts in said for fact in facts):
        if fact.kind == Fact.Kind.TURNED_AWAY:
            missing |= dict.fromkeys(fact.what.get("missing", ()), fact.happened_at)
    found: dict[int, frozenset[str]] = {}
    for row in Condition.objects.filter(pk__in=missing, needed=True):
        was_moved = row.moved_at is not None and row.moved_at > missing[row.pk]
        if row.state == OWED or not was_moved:
            found[row.job_id] = found.get(row.job_id, frozenset()) | frozenset(row.holds)
    return found


class _Reader:
    """Holds each crew's facts against its posted day."""

    def __init__(
        self, branch: Branch, starts_at: datetime, at: datetime, sites: Mapping[int, Site]
    ) -> None:
        self.at, self.starts_at, self.sites = at, starts_at, sites
        self.meal = (
            timedelta(minutes=branch.meal_minutes),
            timedelta(minutes=branch.meal_latest_minutes),
        )
        self.people = max(1, costs_of(branch).people_per_crew)
        self.drives: Drives = drives_between(branch, list(sites.values()), measured_read(branch))

    def standing(self, day: date, crew_day: CrewDay | None, facts: Sequence[Fact]) -> CrewStanding:
        """Return how a crew stands in its day."""
        stops = list(crew_day.stops.all()) if crew_day else []
        plan = DayPlan(0, day, tuple(_planned(stop) for stop in stops))
        progress = day_progress(plan, map(said_of, facts))
        setup = {stop.job_id: ceil(stop.job.setup_person_minutes / self.people) for stop in stops}
        paper = Paper(self.starts_at, setup, self._drive, self.meal)
        rest = crew_rest(progress, paper, self.at)
        return CrewStanding(rest, _kinds(crew_day, stops))

    def _drive(self, start: int | None, end: int | None) -> int:
        return self.drives.minutes(self._place(start), self._place(end))

    def _place(self, job: int | None) -> str:
        return YARD if job is None or job not in self.sites else self.sites[job].place


def _planned(stop: Stop) -> PlannedStop:
    parts = [PlannedStep(part.step.kind, part.minutes) for part in stop.parts.all()]
    return PlannedStop(stop.job_id, tuple(parts))


def _kinds(crew_day: CrewDay | None, stops: Iterable[Stop]) -> frozenset[str]:
    """The kinds of machine that a crew took along, or must have taken along for its day."""
    machines = crew_day.machines.all() if crew_day else ()
    steps = [part.step for stop in stops for part in stop.parts.all()]
    needed = {step.machine_kind for step in steps if step.machine_kind}
    return frozenset({*needed, *(machine.kind for machine in machines)})
