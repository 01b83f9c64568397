"""Puts the rows of a branch together into one planning problem, with what was left off and why."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cached_property

from contractor.models import Branch, DriveTime, Machine, PlanCosts
from contractor.travel import DriveTable, Place, TravelSettings, YardDrive, drive_table
from contractor.workdays import IsoWeek, weeks_working_days
from jobs.conditions.words import STEP_NAMES
from jobs.models import Job, Site
from jobs.queries import JobOutlook, jobs_outlook
from scheduling.gather.cases import Context, JobCase, StepCase, job_case
from scheduling.gather.crews import (
    Calendar,
    CrewFacts,
    DaysOff,
    crew_facts,
    days_off_read,
    planner_crews,
    planner_machines,
    work_calendar,
)
from scheduling.gather.holdups import Held, hold_up_of
from scheduling.gather.names import Names
from scheduling.gather.placements import Placement, Placements, histories, placements_read
from scheduling.planning import problem as planner
from scheduling.planning.move import steps_put
from scheduling.planning.plan import Part, Plan, Stop, Visit

YARD = "yard"
# A truck's way between sites, mixed roads: half a mile a minute (common practice, no source).
TRUCK_MILES_PER_HOUR = 30


class GatherError(Exception):
    """The weeks cannot be planned at all; the message says why."""


@dataclass(frozen=True)
class Gathered:
    """A problem and what stands beside it.

    `plan` is the plan of the same days as drafted or posted, tidy or not; `cases` the jobs that
    the problem holds; `held` those left off. `guessed` are the sites without coordinates.
    """

    branch: Branch
    problem: planner.Problem
    plan: Plan
    cases: tuple[JobCase, ...]
    held: tuple[Held, ...]
    guessed: tuple[YardDrive, ...]
    names: Names
    calendar: Calendar
    crews: tuple[CrewFacts, ...]
    off: DaysOff
    machines: tuple[Machine, ...]
    placements: Placements

    @property
    def days(self) -> tuple[date, ...]:
        """The working days planned, as dates."""
        return self.calendar.days

    def day_index(self, day: date) -> int | None:
        """Return the number of a date among the days planned, None where it is none of them."""
        return self.calendar.index_of.get(day)

    def whole_minutes(self, step: str, crew: str) -> int:
        """Return what a whole step takes a crew today, done parts included; 0 where unknown."""
        entry = self._case_of.get(step)
        facts = self._crew_of.get(crew)
        return facts.step_minutes(entry.outlook.step) if entry and facts else 0

    @cached_property
    def _case_of(self) -> dict[str, StepCase]:
        return {entry.step.id: entry for case in self.cases for entry in case.steps}

    @cached_property
    def _crew_of(self) -> dict[str, CrewFacts]:
        return {crew.id: crew for crew in self.crews}


def gather(*, branch: Branch, first: IsoWeek, weeks: int, today: date) -> Gathered:
    """Read what planning so many weeks of a branch needs; days before `today` are left out.

    Raises GatherError where no working day is left. The number of queries does not depend on
    how many jobs, crews and weeks there are.
    """
    calendar = _calendar(branch, first, weeks, today)
    last_date = first.plus(weeks).monday - timedelta(days=1)
    off = days_off_read(branch, calendar.days[0], calendar.days[-1])
    placements = placements_read(branch, today, calendar.days[0])
    jobs = Job.objects.open().filter(site__branch=branch)
    outlooks = jobs_outlook(jobs, calendar.days)
    drives = _drives(branch, [outlook.job.site for outlook in outlooks])
    crews = tuple(crew_facts(branch, off))
    steps = [entry.step for outlook in outlooks for entry in outlook.steps]
    crew_rows = planner_crews(crews, steps, branch, calendar)
    context = Context(
        branch=branch,
        costs=_costs_of(branch),
        calendar=calendar,
        crews=crews,
        crew_rows={crew.id: crew for crew in crew_rows},
        histories=histories(placements.effective, calendar.days, last_date),
        yard_minutes=drives.from_yard,
    )
    found = [case for outlook in outlooks if (case := job_case(context, outlook))]
    plan = plan_of(placements.effective, calendar)
    on_plan = {part.step_id for part in (*placements.effective, *placements.posted)}
    cases = [case for case in found if _is_planned(case, on_plan)]
    machines = tuple(branch.machines.filter(active=True))
    problem = _problem(context, cases, crew_rows, placements, drives)
    kinds = [step.machine for job in problem.jobs for step in job.steps if step.machine]
    problem = replace(problem, machines=planner_machines(machines, off, kinds, calendar))
    return Gathered(
        branch=branch,
        problem=replace(problem, fixed=_feasible_fixed(problem, cases)),
        plan=plan,
        cases=tuple(cases),
        held=tuple(hold_up_of(case, calendar.days) for case in found if case not in cases),
        guessed=drives.table.guessed,
        names=_names(crews, outlooks),
        calendar=calendar,
        crews=crews,
        off=off,
        machines=machines,
        placements=placements,
    )


def plan_of(placements: Sequence[Placement], calendar: Calendar) -> Plan:
    """Return the placements on the days planned as a plan, stops in their order."""
    visits: dict[tuple[int, str], dict[int, list[Placement]]] = {}
    for placement in placements:
        day = calendar.index_of.get(placement.day)
        if day is not None:
            stops = visits.setdefault((day, f"crew-{placement.crew_id}"), {})
            stops.setdefault(placement.job_id, []).append(placement)
    return Plan(
        tuple(
            Visit(crew, day, tuple(_stop(job, parts) for job, parts in stops.items()))
            for (day, crew), stops in sorted(visits.items())
        )
    )


def _stop(job_id: int, parts: Sequence[Placement]) -> Stop:
    ordered = sorted(parts, key=lambda part: part.step_position)
    return Stop(f"job-{job_id}", tuple(Part(f"step-{p.step_id}", p.minutes) for p in ordered))


def _calendar(branch: Branch, first: IsoWeek, weeks: int, today: date) -> Calendar:
    work = work_calendar(branch)
    days = tuple(day for day in weeks_working_days(work, first, weeks) if day >= today)
    if not days:
        last = first.plus(weeks - 1)
        which = f"week {first}" if weeks == 1 else f"weeks {first} to {last}"
        raise GatherError(f"{branch} has no working day left in {which} (today is {today}).")
    return Calendar(work, days)


def _costs_of(branch: Branch) -> PlanCosts:
    """A branch whose costs nobody has set yet has the usual ones."""
    return PlanCosts.objects.filter(branch=branch).first() or PlanCosts(branch=branch)


@dataclass(frozen=True)
class _Drives:
    """The places in use and the minutes between them."""

    places: tuple[str, ...]
    table: DriveTable

    @property
    def from_yard(self) -> Mapping[str, int]:
        return dict(zip(self.places, self.table.minutes[0], strict=True))

    def only(self, used: set[str]) -> tuple[tuple[str, ...], tuple[tuple[int, ...], ...]]:
        """The table cut to the yard and the places used."""
        kept = [i for i, place in enumerate(self.places) if place == YARD or place in used]
        rows = tuple(tuple(self.table.minutes[i][j] for j in kept) for i in kept)
        return tuple(self.places[i] for i in kept), rows


def _drives(branch: Branch, sites: Sequence[Site]) -> _Drives:
    by_place = {site.place: site for site in sites}
    places = [_place(YARD, branch), *(_place(name, site) for name, site in by_place.items())]
    measured = {
        (row.from_place, row.to_place): row.minutes
        for row in DriveTime.objects.filter(branch=branch)
    }
    settings = TravelSettings(
        road_factor=float(branch.road_factor), minutes_per_stop=branch.arrival_minutes
    )
    table = drive_table(places, settings, measured)
    return _Drives(tuple(place.id for place in places), table)


def _place(name: str, row: Branch | Site) -> Place:
    if row.latitude is None or row.longitude is None:
        return Place(name)
    return Place(name, float(row.latitude), float(row.longitude))


def _is_planned(case: JobCase, on_plan: set[int]) -> bool:
    """A job stays in the problem when it could be placed, or is on a plan already."""
    is_there = any(entry.outlook.step.pk in on_plan for entry in case.steps)
    is_fixed = any(entry.fixed for entry in case.steps)
    return is_there or is_fixed or case.steps[0].is_open_some_day


def _problem(
    context: Context,
    cases: Sequence[JobCase],
    crews: tuple[planner.Crew, ...],
    placements: Placements,
    drives: _Drives,
) -> planner.Problem:
    places, minutes = drives.only({case.job.place for case in cases})
    steps = {entry.step.id for case in cases for entry in case.steps}
    return planner.Problem(
        days=tuple(day.isoformat() for day in context.calendar.days),
        places=places,
        travel_minutes=minutes,
        crews=crews,
        machines=(),
        jobs=tuple(case.job for case in cases),
        max_stops=max(1, context.branch.max_stops),
        min_part_minutes=max(1, context.branch.min_part_minutes),
        fixed=(),
        posted=_posted(context, placements.posted, steps),
        costs=planner_costs(context.costs),
    )


def _posted(
    context: Context, placements: Sequence[Placement], steps: set[str]
) -> tuple[planner.Assignment, ...]:
    """Where the posted week starts each step that is in the problem."""
    first: dict[str, planner.Assignment] = {}
    for part in sorted(placements, key=lambda part: part.day):
        step, crew = f"step-{part.step_id}", f"crew-{part.crew_id}"
        day = context.calendar.index_of.get(part.day)
        if step in steps and crew in context.crew_rows and day is not None:
            first.setdefault(step, planner.Assignment(step, crew, day))
    return tuple(first[step] for step in sorted(first))


def planner_costs(costs: PlanCosts) -> planner.Costs:
    """Return the branch's rates by the minute, in whole cents."""
    crew_cents_per_hour = costs.people_per_crew * costs.labour_cents_per_hour
    truck_cents_per_hour = costs.truck_cents_per_mile * TRUCK_MILES_PER_HOUR
    premium = crew_cents_per_hour * costs.overtime_premium_percent
    return planner.Costs(
        travel_minute=round((crew_cents_per_hour + truck_cents_per_hour) / 60),
        overtime_minute=round(premium / 6000),
        crew_day=costs.crew_day_cents,
        handoff=costs.handoff_cents,
        change_day=costs.change_day_cents,
        change_crew=costs.change_crew_cents,
    )


def _feasible_fixed(
    problem: planner.Problem, cases: Sequence[JobCase]
) -> tuple[planner.Assignment, ...]:
    """The steps to be fixed that can all be kept at once; a clash frees the later one."""
    kept: list[planner.Assignment] = []
    plan = Plan()
    for entry in (entry.fixed for case in cases for entry in case.steps):
        if entry is not None:
            change = steps_put(problem, plan, [entry.step], entry.crew, entry.day)
            if all(found.rule == 9 for found in change.new):
                kept.append(entry)
                plan = change.plan
    return tuple(kept)


def _names(crews: Sequence[CrewFacts], outlooks: Sequence[JobOutlook]) -> Names:
    names = {crew.id: crew.crew.name for crew in crews}
    for outlook in outlooks:
        names[outlook.job.plan_id] = str(outlook.job)
        names[outlook.job.site.place] = outlook.job.site.name
        for entry in outlook.steps:
            names[entry.step.plan_id] = f"{STEP_NAMES[entry.step.kind]} at {outlook.job}"
    return Names(names)
