"""A job as the planner gets it: steps left, minutes by crew, closed days, what is fixed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import ROUND_CEILING, Decimal
from fractions import Fraction
from functools import lru_cache
from math import ceil

from contractor.models import Branch, PlanCosts
from contractor.plan_ids import crew_plan_id
from jobs.models import Step
from jobs.readiness.queries.outlook import JobOutlook, StepOutlook
from scheduling.gather.crews import Calendar, CrewFacts
from scheduling.gather.placements import NO_HISTORY, StepHistory
from scheduling.planning import problem as planner

IDLE_MINUTES = 60
CLOSED = 1.0
OPEN = 0.0


@dataclass(frozen=True)
class Closed:
    """What is closed beyond the conditions, where the rest of a day is planned.

    first_day: jobs at which nothing more is done today. kinds: by job the kinds of step that
    wait on every day. on_plan: the only jobs that may be placed after today; None is any.
    """

    first_day: frozenset[int] = frozenset()
    kinds: Mapping[int, frozenset[str]] = field(default_factory=dict)
    on_plan: frozenset[int] | None = None

    def over(self, step: Step, risk: tuple[float, ...]) -> tuple[float, ...]:
        """Return the risk of a step with what is closed put over it."""
        if step.kind in self.kinds.get(step.job_id, ()):
            return tuple(CLOSED for _ in risk)
        if self.on_plan is not None and step.job_id not in self.on_plan:
            risk = (*risk[:1], *(CLOSED for _ in risk[1:]))
        return (CLOSED, *risk[1:]) if step.job_id in self.first_day else risk


OPEN_TO_ALL = Closed()


@dataclass(frozen=True)
class StepCase:
    """One step that is left for the days planned, with what the rows say of it."""

    outlook: StepOutlook
    step: planner.Step
    fixed: planner.Assignment | None
    is_begun: bool

    @property
    def is_open_some_day(self) -> bool:
        """Whether any day and any crew could do it."""
        return bool(self.step.minutes) and any(risk < CLOSED for risk in self.step.risk)


@dataclass(frozen=True)
class JobCase:
    """One open job with the steps that are left for the days planned, in order."""

    outlook: JobOutlook
    job: planner.Job
    steps: tuple[StepCase, ...]


@dataclass(frozen=True)
class Context:
    """What all jobs of a branch share when they are turned into the planner's."""

    branch: Branch
    costs: PlanCosts
    calendar: Calendar
    crews: Sequence[CrewFacts]
    crew_rows: Mapping[str, planner.Crew]
    histories: Mapping[int, StepHistory]
    yard_minutes: Mapping[str, int]
    closed: Closed = OPEN_TO_ALL
    _able: dict[str, list[tuple[CrewFacts, Decimal]]] = field(default_factory=dict)

    def able(self, kind: str) -> list[tuple[CrewFacts, Decimal]]:
        """The crews that can do a kind of step, each with its pace; looked up once a kind."""
        if kind not in self._able:
            crews = [crew for crew in self.crews if crew.can_do(kind)]
            self._able[kind] = [(crew, crew.pace(kind)) for crew in crews]
        return self._able[kind]

    def crew_row(self, crew: int | None) -> planner.Crew | None:
        """Return the planner's crew of a row; None where there is none."""
        return None if crew is None else self.crew_rows.get(crew_plan_id(crew))

    def history(self, step_id: int) -> StepHistory:
        """Return where the parts of a step lie."""
        return self.histories.get(step_id, NO_HISTORY)


def job_case(context: Context, outlook: JobOutlook) -> JobCase | None:
    """Return the job with what is left of it, or None when nothing is left for these days."""
    setup = ceil(outlook.job.setup_person_minutes / max(1, context.costs.people_per_crew))
    turned_away = turned_away_cents(
        context.costs, context.yard_minutes[outlook.job.site.place], setup
    )
    cases = _step_cases(context, outlook, turned_away)
    if not cases:
        return None
    builder_cents = outlook.job.site.builder.late_cents_per_day
    job = planner.Job(
        id=outlook.job.plan_id,
        place=outlook.job.site.place,
        setup_minutes=setup,
        promised_day=_promised_day(context, outlook),
        late_cost=context.costs.late_cents_per_day if builder_cents is None else builder_cents,
        wait_cost=context.costs.wait_cents_per_day,
        unplaced_cost=context.costs.unplaced_cents,
        steps=tuple(case.step for case in cases),
    )
    return JobCase(outlook, job, tuple(cases))


def turned_away_cents(costs: PlanCosts, drive_minutes: int, setup_minutes: int) -> int:
    """What it costs to come for nothing: (drive there + half the set-up + idle) × people × rate."""
    twice_minutes = 2 * drive_minutes + setup_minutes + 2 * IDLE_MINUTES
    cents_per_hour = costs.people_per_crew * costs.labour_cents_per_hour
    return round(Fraction(twice_minutes * cents_per_hour, 120))


def _promised_day(context: Context, outlook: JobOutlook) -> int:
    """The promised day's number; a job without a promise is late on no day of the plan."""
    promised = outlook.job.promised_date
    return len(context.calendar.days) if promised is None else context.calendar.index(promised)


def _step_cases(context: Context, outlook: JobOutlook, turned_away: int) -> list[StepCase]:
    cases: list[StepCase] = []
    opens = 0
    for position, entry in enumerate(outlook.steps):
        history = context.history(entry.step.pk)
        if history.end_before is not None:
            opens = _opens_after(context, outlook, position, history)
            continue
        if history.is_outside:
            # It is placed after these days, and so is all that follows it.
            break
        closes = _closes_before(context, outlook, position)
        window = range(opens, closes)
        step = _step(context, entry, history, window, turned_away)
        begun = _begun(context, step, history) if not cases else None
        fixed = begun or _going_on(context, step, history)
        cases.append(StepCase(entry, step, fixed, is_begun=begun is not None))
        opens = 0
    return cases


def _opens_after(context: Context, outlook: JobOutlook, position: int, history: StepHistory) -> int:
    """The first day that the lag after a step done or placed before leaves to the next step."""
    following = outlook.steps[position + 1 : position + 2]
    end = history.end_before
    if end is None or not following:
        return 0
    return context.calendar.index(end) + following[0].step.lag_days


def _closes_before(context: Context, outlook: JobOutlook, position: int) -> int:
    """The first day that is too late, where the next step is placed after the days planned."""
    never = len(context.calendar.days)
    following = outlook.steps[position + 1 : position + 2]
    placed = context.history(following[0].step.pk) if following else NO_HISTORY
    if not placed.is_outside or not placed.after:
        return never
    start = context.calendar.index(placed.after[0].day)
    return min(never, start - following[0].step.lag_days + 1)


def _step(
    context: Context, entry: StepOutlook, history: StepHistory, window: range, turned_away: int
) -> planner.Step:
    begun = history.begun_by is not None
    risk = tuple(OPEN for _ in context.calendar.days) if begun else _risk(context, entry, window)
    return planner.Step(
        id=entry.step.plan_id,
        kind=entry.step.kind,
        minutes=_minutes(context, entry, history),
        machine=entry.step.machine_kind or None,
        lag_days=entry.step.lag_days,
        risk=context.closed.over(entry.step, risk),
        turned_away=turned_away,
    )


def _minutes(context: Context, entry: StepOutlook, history: StepHistory) -> dict[str, int]:
    """What is left of the step for each crew that is able to do it; worked out once for equals."""
    alike: dict[tuple[int, Decimal], int] = {}
    found = {}
    for crew, pace in context.able(entry.step.kind):
        key = (crew.people, pace)
        if key not in alike:
            whole = crew.step_minutes(entry.step)
            alike[key] = max(1, ceil(whole * history.share_left))
        found[crew.id] = alike[key]
    return found


def _risk(context: Context, entry: StepOutlook, window: range) -> tuple[float, ...]:
    """Closed where anything that the step needs is too unlikely; else the chance of what is new.

    What an earlier step of the job needs already is charged there, once.
    """
    threshold = context.branch.ready_threshold
    return tuple(
        CLOSED if entry.held_by or day not in window or _chance(whole) < threshold else new
        for day, (whole, new) in enumerate(zip(entry.risks, entry.first_risks, strict=True))
    )


@lru_cache(maxsize=1000)
def _chance(risk: float) -> Decimal:
    """The chance ready to four digits, so that a threshold means what it says."""
    return (1 - Decimal(risk)).quantize(Decimal("0.0001"), ROUND_CEILING)


def _begun(context: Context, step: planner.Step, history: StepHistory) -> planner.Assignment | None:
    """A begun step goes on with its crew on the crew's first day."""
    crew = context.crew_row(history.begun_by)
    if crew is None or crew.id not in step.minutes:
        return None
    # What a crew has left for today it goes on with on its next day.
    first = int(history.before[-1].is_done)
    day = next((day for day, minutes in enumerate(crew.minutes) if minutes and day >= first), None)
    return None if day is None else planner.Assignment(step.id, crew.id, day)


def _going_on(
    context: Context, step: planner.Step, history: StepHistory
) -> planner.Assignment | None:
    """A step whose end lies after the days planned stays where it starts."""
    crew = context.crew_row(history.goes_on_by)
    day = context.calendar.index_of.get(history.inside[0].day) if history.inside else None
    if crew is None or day is None or crew.id not in step.minutes or not crew.minutes[day]:
        return None
    return planner.Assignment(step.id, crew.id, day) if step.risk[day] < CLOSED else None
