"""What tomorrow's crews hang on, asked for the evening before; changes nothing."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from contractor.models import Branch, Event
from contractor.workdays import IsoWeek
from jobs.localtime import branch_calendar, local_date
from jobs.models import CallAttempt, Job, Superintendent
from jobs.readiness.queries.calls import Ask, HouseAsks, houses_asked
from jobs.stakes import Stake
from jobs.whereabouts import PlannedDay
from scheduling.models import CrewDay, WeekVersion
from scheduling.weeks.queries.planned import planned_days
from scheduling.weeks.queries.stakes import stakes_of_days

# Superintendents know by then how far their trades got (common practice, no source).
ASK_FROM = time(15, 0)
REPRICED = "re-priced"
POSTED = WeekVersion.State.POSTED
SHOWN = (WeekVersion.State.DRAFT, POSTED)


@dataclass(frozen=True)
class EveningStop:
    """A house of tomorrow with what it hangs on; without stake its crew has been let in before."""

    job: Job
    stake: Stake | None
    asks: tuple[Ask, ...]
    last_call: CallAttempt | None

    @property
    def superintendent(self) -> Superintendent | None:
        """Whom to ring."""
        return self.job.site.superintendent


@dataclass(frozen=True)
class EveningDay:
    """A crew's tomorrow: its houses by name, how likely all is ready, what is at risk.

    changes: what today's answers made of it, each with `cents` and `chance` before and after.
    """

    crew_day: CrewDay
    stops: tuple[EveningStop, ...]
    threshold: Decimal
    changes: tuple[Event, ...]

    @property
    def stakes(self) -> list[Stake]:
        """The visits that begin something."""
        return [stop.stake for stop in self.stops if stop.stake]

    @property
    def chance(self) -> float:
        """The chance ready of the least likely house."""
        return min((stake.chance for stake in self.stakes), default=1.0)

    @property
    def percent(self) -> int:
        """The chance as a person says it."""
        return min((stake.percent for stake in self.stakes), default=100)

    @property
    def at_risk_cents(self) -> int:
        """What its visits put at risk."""
        return sum(stake.at_risk_cents for stake in self.stakes)

    @property
    def is_under_threshold(self) -> bool:
        """Whether the planner would close the day to one of its houses by now."""
        return Decimal(str(round(self.chance, 4))) < self.threshold

    @property
    def open_count(self) -> int:
        """How many things are still to be asked for."""
        return sum(len(stop.asks) for stop in self.stops)


@dataclass(frozen=True)
class Evening:
    """The next working day of a yard, crew by crew, those that put most at risk first."""

    branch: Branch
    day: date
    is_time: bool
    crew_days: tuple[EveningDay, ...]

    @property
    def week(self) -> IsoWeek:
        """The week of that day."""
        return IsoWeek.of(self.day)

    @property
    def at_risk_cents(self) -> int:
        """What the day puts at risk."""
        return sum(crew_day.at_risk_cents for crew_day in self.crew_days)


def evening_confirmation(*, branch: Branch, now: datetime) -> Evening:
    """Return what the crews of the next working day hang on, by the yard's calendar and clock.

    They go by what is posted; where the week is not posted yet, by its draft. A constant number
    of statements.
    """
    today = local_date(branch, now)
    work = branch_calendar(branch)
    day = work.next_working(today)
    crew_days = _crew_days(branch, day)
    jobs = Job.objects.open().filter(stops__crew_day__in=[row.pk for row in crew_days]).distinct()
    loaded = jobs.select_related("site__builder", "site__superintendent", "site__branch")
    at_day = _At(
        {job.pk: job for job in loaded},
        _stakes(jobs, crew_days, day, now),
        branch,
        _changes(crew_days),
    )
    shown = at_day.days(crew_days, houses_asked(jobs, at_day.stakes, now))
    local = now.astimezone(ZoneInfo(branch.time_zone)).time()
    in_order = sorted(shown, key=lambda one: (-one.at_risk_cents, one.crew_day.crew.name))
    return Evening(branch, day, local >= ASK_FROM, tuple(in_order))


def _crew_days(branch: Branch, day: date) -> list[CrewDay]:
    """Return the crew-days by which crews go: posted ones where their week is posted."""
    week = IsoWeek.of(day)
    rows = list(
        CrewDay.objects.filter(date=day, crew__branch=branch, version__state__in=SHOWN)
        .select_related("crew", "version")
        .prefetch_related("stops")
    )
    is_posted = WeekVersion.objects.filter(
        week__branch=branch, week__iso_year=week.year, week__iso_week=week.week, state=POSTED
    ).exists()
    return [row for row in rows if (row.version.state == POSTED) == is_posted]


def _stakes(
    jobs: "QuerySet[Job]", crew_days: Sequence[CrewDay], day: date, now: datetime
) -> dict[int, list[Stake]]:
    """Return that day's stakes by job: of posted weeks as posted, of others as drafted."""
    planned = planned_days(jobs)
    posted_weeks = {one.week for one in planned if one.posted}
    counted: list[PlannedDay] = [
        one for one in planned if one.posted or one.week not in posted_weeks
    ]
    found: dict[int, list[Stake]] = {}
    for stake in stakes_of_days(counted, now):
        if stake.day == day and crew_days:
            found.setdefault(stake.job_id, []).append(stake)
    return found


def _changes(crew_days: Sequence[CrewDay]) -> dict[str, list[Event]]:
    """Return what answers made of each crew-day, the first first."""
    ids = [str(row.pk) for row in crew_days]
    events = Event.objects.filter(noun="crewday", noun_id__in=ids, verb=REPRICED).order_by("id")
    found: dict[str, list[Event]] = {}
    for event in events:
        found.setdefault(event.noun_id, []).append(event)
    return found


@dataclass(frozen=True)
class _At:
    """What the days are put together from."""

    jobs: Mapping[int, Job]
    stakes: Mapping[int, Sequence[Stake]]
    branch: Branch
    changes: Mapping[str, Sequence[Event]]

    def days(self, crew_days: Iterable[CrewDay], houses: Iterable[HouseAsks]) -> list[EveningDay]:
        """Return each crew-day with its houses in driving order."""
        asks = {house.job.pk: house.asks for house in houses}
        people = {job.site.superintendent_id for job in self.jobs.values()}
        newest = CallAttempt.objects.newest().filter(superintendent__in=people - {None})
        calls = {call.superintendent_id: call for call in newest}
        return [
            EveningDay(
                crew_day=row,
                stops=tuple(
                    self._stop(self.jobs[stop.job_id], row, asks.get(stop.job_id, ()), calls)
                    for stop in row.stops.all()
                    if stop.job_id in self.jobs
                ),
                threshold=self.branch.ready_threshold,
                changes=tuple(self.changes.get(str(row.pk), ())),
            )
            for row in crew_days
        ]

    def _stop(
        self, job: Job, row: CrewDay, asks: Sequence[Ask], calls: Mapping[int, CallAttempt]
    ) -> EveningStop:
        stakes = (one for one in self.stakes.get(job.pk, ()) if one.crew == row.crew.name)
        stake = next(stakes, None)
        hanging = tuple(ask for ask in asks if stake and stake.hangs_on(ask.known))
        return EveningStop(job, stake, hanging, calls.get(job.site.superintendent_id or 0))
