"""Puts the rows of a branch together into one planning problem, with what was left off and why."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cached_property

from django.utils.translation import gettext

from contractor.models import Branch, PlanCosts
from contractor.plan_ids import crew_plan_id, job_plan_id, step_plan_id
from contractor.travel import YardDrive
from contractor.workdays import IsoWeek
from jobs.readiness.queries.outlook import JobOutlook
from scheduling.gather.cases import OPEN_TO_ALL, Context, JobCase, StepCase, job_case
from scheduling.gather.crews import Calendar, CrewFacts, planner_crews, planner_machines
from scheduling.gather.fixed import fixed_of
from scheduling.gather.holdups import Held, hold_up_of
from scheduling.gather.names import Names, step_at
from scheduling.gather.placed import Placement
from scheduling.gather.placements import histories
from scheduling.gather.rest import Rest, rest_read
from scheduling.gather.rows import Drives, Rows, rows_read
from scheduling.planning import problem as planner
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
    the problem holds; `held_cases` those left off. `guessed` are the sites without coordinates.
    `rest` is what is left of the first day, where that has begun and only the rest is planned.
    """

    rows: Rows
    problem: planner.Problem
    plan: Plan
    cases: tuple[JobCase, ...]
    held_cases: tuple[JobCase, ...]
    guessed: tuple[YardDrive, ...]
    names: Names
    calendar: Calendar
    rest: Rest | None = None

    @property
    def branch(self) -> Branch:
        """The branch that is planned."""
        return self.rows.branch

    @property
    def days(self) -> tuple[date, ...]:
        """The working days planned, as dates."""
        return self.calendar.days

    @cached_property
    def held(self) -> tuple[Held, ...]:
        """The jobs left off, each with its hold-up in words and who holds it."""
        return tuple(hold_up_of(case, case.steps[0], self.days) for case in self.held_cases)

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
        return {crew.id: crew for crew in self.rows.crews}


def gather(
    *, branch: Branch, first: IsoWeek, weeks: int, today: date, rest_at: datetime | None = None
) -> Gathered:
    """Read what planning so many weeks of a branch needs; days before `today` are left out.

    With a moment of today only what is left of today from then on is planned, as far as the
    facts said today tell. Raises GatherError where no working day is left. The number of queries
    does not depend on how many jobs, crews and weeks there are.
    """
    rows = rows_read(branch=branch, first=first, weeks=weeks, today=today)
    if rest_at is None or today not in rows.days:
        return gathered_of(rows)
    rest = rest_read(branch, today, rest_at)
    return gathered_of(replace(rows, placements=rest.over(rows.placements)), rest)


@dataclass(frozen=True)
class Ground:
    """What all jobs of some weeks stand on: the days that can be planned, crews and drives."""

    rows: Rows
    calendar: Calendar
    drives: Drives
    context: Context
    rest: Rest | None = None

    def cases(self, outlooks: Iterable[JobOutlook]) -> list[JobCase]:
        """Return the jobs of which anything is left for these days, as the planner gets them."""
        return [case for outlook in outlooks if (case := job_case(self.context, outlook))]


def ground_of(rows: Rows, rest: Rest | None = None) -> Ground:
    """Return what the jobs of rows already read stand on. Raises GatherError as `gather` does."""
    calendar = _calendar(rows)
    sites = [outlook.job.site for outlook in rows.outlooks]
    drives = rows.drives([*sites, *(rest.sites.values() if rest else ())])
    return Ground(rows, calendar, drives, _context(rows, calendar, drives, rest), rest)


def gathered_of(rows: Rows, rest: Rest | None = None) -> Gathered:
    """Return the problem that rows already read amount to. Raises GatherError as `gather` does."""
    ground = ground_of(rows, rest)
    found = ground.cases(rows.outlooks)
    on_plan = {part.step_id for part in (*rows.placements.effective, *rows.placements.posted)}
    cases = [case for case in found if _is_planned(case, on_plan)]
    problem = _problem(ground, cases)
    plan = plan_of(rows.placements.effective, ground.calendar)
    return Gathered(
        rows=rows,
        problem=replace(problem, fixed=fixed_of(problem, cases, plan)),
        plan=plan,
        cases=tuple(cases),
        held_cases=tuple(case for case in found if not _is_planned(case, on_plan)),
        guessed=ground.drives.table.guessed,
        names=_names(rows, ground.calendar),
        calendar=ground.calendar,
        rest=rest,
    )


def _context(rows: Rows, calendar: Calendar, drives: Drives, rest: Rest | None) -> Context:
    steps = [entry.step for outlook in rows.outlooks for entry in outlook.steps]
    crews = planner_crews(rows.crews, steps, rows.branch, calendar)
    if rest:
        crews = tuple(rest.crew(crew, len(calendar.days)) for crew in crews)
    return Context(
        branch=rows.branch,
        costs=rows.costs,
        calendar=calendar,
        crews=rows.crews,
        crew_rows={crew.id: crew for crew in crews},
        histories=histories(rows.placements.effective, calendar.days, rows.last_date),
        yard_minutes=drives.from_yard,
        closed=rest.closed(rows.placements) if rest else OPEN_TO_ALL,
    )


def plan_of(placements: Sequence[Placement], calendar: Calendar) -> Plan:
    """Return the placements on the days planned as a plan, stops in their order."""
    visits: dict[tuple[int, str], dict[int, list[Placement]]] = {}
    for placement in placements:
        day = calendar.index_of.get(placement.day)
        if day is not None and not placement.is_done:
            stops = visits.setdefault((day, crew_plan_id(placement.crew_id)), {})
            stops.setdefault(placement.job_id, []).append(placement)
    return Plan(
        tuple(
            Visit(crew, day, tuple(_stop(job, parts) for job, parts in stops.items()))
            for (day, crew), stops in sorted(visits.items())
        )
    )


def _stop(job_id: int, parts: Sequence[Placement]) -> Stop:
    ordered = sorted(parts, key=lambda part: part.step_position)
    return Stop(
        job_plan_id(job_id), tuple(Part(step_plan_id(p.step_id), p.minutes) for p in ordered)
    )


def _calendar(rows: Rows) -> Calendar:
    if not rows.days:
        last = rows.first.plus(rows.weeks - 1)
        text = (
            gettext("%(branch)s has no working day left in week %(first)s (today is %(today)s).")
            if rows.weeks == 1
            else gettext(
                "%(branch)s has no working day left in weeks %(first)s to %(last)s "
                "(today is %(today)s)."
            )
        )
        words = {"branch": rows.branch, "first": rows.first, "last": last, "today": rows.today}
        raise GatherError(text % words)
    return Calendar(rows.work, rows.days)


def _is_planned(case: JobCase, on_plan: set[int]) -> bool:
    """A job stays in the problem when it could be placed, or is on a plan already."""
    is_there = any(entry.outlook.step.pk in on_plan for entry in case.steps)
    is_fixed = any(entry.fixed for entry in case.steps)
    return is_there or is_fixed or case.steps[0].is_open_some_day


def _problem(ground: Ground, cases: Sequence[JobCase]) -> planner.Problem:
    rows, context = ground.rows, ground.context
    starts = {place for crew in context.crew_rows.values() for place in crew.starts}
    places, minutes = ground.drives.only({case.job.place for case in cases} | starts)
    steps = [entry.step for case in cases for entry in case.steps]
    kinds = {step.machine for step in steps if step.machine}
    problem = planner.Problem(
        days=tuple(day.isoformat() for day in context.calendar.days),
        places=places,
        travel_minutes=minutes,
        crews=tuple(context.crew_rows.values()),
        machines=planner_machines(rows.machines, rows.off, kinds, context.calendar),
        jobs=tuple(case.job for case in cases),
        max_stops=max(1, rows.branch.max_stops),
        min_part_minutes=max(1, rows.branch.min_part_minutes),
        fixed=(),
        posted=_posted(context, rows.placements.posted, {step.id for step in steps}),
        costs=planner_costs(rows.costs),
    )
    return replace(problem, barred=ground.rest.barred(problem)) if ground.rest else problem


def _posted(
    context: Context, placements: Sequence[Placement], steps: set[str]
) -> tuple[planner.Assignment, ...]:
    """Where the posted week starts each step that is in the problem."""
    first: dict[str, planner.Assignment] = {}
    for part in sorted(placements, key=lambda part: part.day):
        step, crew = step_plan_id(part.step_id), crew_plan_id(part.crew_id)
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


def _names(rows: Rows, calendar: Calendar) -> Names:
    names = {crew.id: crew.crew.name for crew in rows.crews}
    for outlook in rows.outlooks:
        names[outlook.job.plan_id] = str(outlook.job)
        names[outlook.job.site.place] = outlook.job.site.name
        for entry in outlook.steps:
            names[entry.step.plan_id] = step_at(entry.step.kind, str(outlook.job))
    return Names(names, calendar.date_of)
