"""What time it is in the course of a crew's day: arrivals, meal, end; knows no rows, asks no clock.

The plan's minutes are work and drives alone. The meal is no work, so it comes on top: a day of
480 minutes and a meal of 30 lasts 8 1/2 hours on the clock.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from scheduling.progress.day import PlannedStep
from scheduling.progress.stand import DayProgress, StepProgress, StopProgress

# A gap between two pieces of work is taken for the meal when it is no more than this before the
# latest minute; else the crew stops in the middle of a piece (common practice, no source).
EARLY = timedelta(hours=2)
HALF_HOUR = timedelta(minutes=30)
NO_TIME = timedelta()
LONG_AGO = datetime(1, 1, 2, tzinfo=UTC)

# Minutes of the drive between two houses by their job ids; None is the yard.
DriveMinutes = Callable[[int | None, int | None], int]


@dataclass(frozen=True)
class TimedVisit:
    """A stop of the plan: what setting up takes there, and the pieces of work in their order."""

    job: int
    setup_minutes: int
    parts: tuple[PlannedStep, ...]


@dataclass(frozen=True)
class MealRule:
    """How long the meal is, and after how many minutes of the day it begins at the latest."""

    minutes: int
    latest_minutes: int


@dataclass(frozen=True)
class Meal:
    """The meal: when it begins and ends, and at which house; job is None on the road."""

    starts_at: datetime
    ends_at: datetime
    job: int | None


@dataclass(frozen=True)
class VisitTimes:
    """When a crew sets out for a house, arrives and leaves; said where a fact said so."""

    job: int
    set_out_at: datetime
    arrive_at: datetime
    leave_at: datetime
    is_arrival_said: bool = False
    is_leaving_said: bool = False


@dataclass(frozen=True)
class DayTimes:
    """A crew's day by the clock: visits in the order in which they are driven to.

    meal: None where the day is too short for one, or where its time is over.
    """

    starts_at: datetime
    visits: tuple[VisitTimes, ...]
    meal: Meal | None
    ends_at: datetime

    def of(self, job: int) -> VisitTimes:
        """Return the times of a house. Raises KeyError where the day does not hold it."""
        return {visit.job: visit for visit in self.visits}[job]


@dataclass(frozen=True)
class Window:
    """From when to when a crew is told to arrive."""

    from_at: datetime
    to_at: datetime

    def holds(self, moment: datetime) -> bool:
        """Tell whether somebody who comes then has kept it."""
        return self.from_at <= moment <= self.to_at


def day_start(day: date, at: time, zone: str) -> datetime:
    """Return the moment at which a day starts by the wall's clock, whatever it did in the night."""
    return datetime.combine(day, at, tzinfo=ZoneInfo(zone))


def arrival_window(arrive_at: datetime, before_minutes: int, after_minutes: int) -> Window:
    """Return the window around an arrival, each end rounded outward to a half hour on the wall."""
    first = arrive_at - timedelta(minutes=before_minutes)
    last = arrive_at + timedelta(minutes=after_minutes)
    over = _past_half_hour(last)
    return Window(first - _past_half_hour(first), last + (HALF_HOUR - over if over else NO_TIME))


def day_times(
    *,
    starts_at: datetime,
    visits: Sequence[TimedVisit],
    drive: DriveMinutes,
    meal: MealRule,
    progress: DayProgress | None = None,
    now: datetime | None = None,
) -> DayTimes:
    """Return when a crew arrives, eats, leaves and is back, in the zone of `starts_at`.

    Without `progress` these are the planned times. With it, what was said stands as it was said,
    and the rest is expected from there: the house at which the crew is takes what is left of its
    minutes, then come the others in the plan's order. Nothing that was not said is expected
    before `now`. Nobody says that he eats: the meal is taken to be over once a fact comes from
    later than its latest end; until then it is still to come.
    """
    said = {stop.job: stop for stop in progress.stops} if progress else {}
    walk = _Walk(starts_at, drive, meal, now)
    for stop in (*said.values(), *(progress.others if progress else ())):
        walk.begin(stop)
    found = tuple(walk.visit(visit, said.get(visit.job)) for visit in _in_order(visits, said))
    walk.leg(drive(walk.here, None), None)
    return DayTimes(starts_at, found, walk.meal, walk.expected())


class _Walk:
    """A crew on its way through its day: where it is, and when. Reckons in UTC, tells in the zone.

    A clock put forward or back during the day thus changes no duration.
    """

    def __init__(
        self, starts_at: datetime, drive: DriveMinutes, rule: MealRule, now: datetime | None
    ) -> None:
        self.zone = starts_at.tzinfo
        self.drive = drive
        self.rule = rule
        self.starts_at = self.at = starts_at.astimezone(UTC)
        self.heard_at = LONG_AGO
        self.not_before = now.astimezone(UTC) if now else LONG_AGO
        self.has_eaten = rule.minutes == 0
        self.here: int | None = None
        self.meal: Meal | None = None

    @property
    def meal_at(self) -> datetime:
        """When the meal begins at the latest."""
        return self.starts_at + timedelta(minutes=self.rule.latest_minutes)

    def begin(self, stop: StopProgress) -> None:
        """Give a crew that set out before its time its meal the earlier."""
        moments = [at for at in (stop.set_out_at, stop.arrived_at) if at is not None]
        self.starts_at = min([self.starts_at, *moments])
        if stop.planned is None and stop.last_at is not None:
            self.hear(stop.last_at)

    def visit(self, visit: TimedVisit, said: StopProgress | None) -> VisitTimes:
        """Go to a house, do there what is left to do, and say when."""
        if said is not None and said.ended_at is not None:
            return self._past(said, said.ended_at)
        # Where it was spoken of something else since, the crew has to come back.
        if said is not None and said.last_at is not None and said.last_at >= self.heard_at:
            return self._at_hand(visit, said)
        return self._to_come(visit, said)

    def leg(self, minutes: int, job: int | None) -> None:
        """Let a drive or a piece of work go by, with the meal before it or in it where it is due.

        job: the house at which it is done, None on the road.
        """
        left = timedelta(minutes=minutes)
        if not self.has_eaten and self.at + left > self.meal_at:
            first = self.meal_at - self.at
            if first > EARLY:
                self.at, left = self.meal_at, left - first
            self._eat(job if first > EARLY else self.here)
        self.at += left

    def hear(self, moment: datetime) -> None:
        """Go on from a moment that a fact names; a meal that must be over by then is over."""
        self.at = self.heard_at = max(self.heard_at, moment)
        self.has_eaten |= self.at >= self.meal_at + timedelta(minutes=self.rule.minutes)

    def expected(self) -> datetime:
        """Return when what nobody has said yet happens: never a moment that has gone by."""
        self.at = max(self.at, self.not_before)
        return self._zoned(self.at)

    def _past(self, said: StopProgress, ended_at: datetime) -> VisitTimes:
        minutes = self.drive(self.here, said.job)
        arrived_at = said.arrived_at or ended_at
        self.here = said.job
        self.hear(ended_at)
        return VisitTimes(
            said.job,
            self._zoned(said.set_out_at or arrived_at - timedelta(minutes=minutes)),
            self._zoned(arrived_at),
            self._zoned(ended_at),
            is_arrival_said=True,
            is_leaving_said=True,
        )

    def _at_hand(self, visit: TimedVisit, said: StopProgress) -> VisitTimes:
        """Return the house that was spoken of last: the crew is on the way to it, or there."""
        minutes = self.drive(self.here, visit.job)
        arrived_at = said.arrived_at
        if arrived_at is None:
            set_out_at = said.set_out_at or self.at
            self.hear(set_out_at)
            self.leg(minutes, None)
        else:
            set_out_at = said.set_out_at or arrived_at - timedelta(minutes=minutes)
            self.hear(said.last_at or arrived_at)
        self.here = visit.job
        return VisitTimes(
            visit.job,
            self._zoned(set_out_at),
            self._zoned(arrived_at) if arrived_at else self.expected(),
            self._work(visit, said),
            is_arrival_said=arrived_at is not None,
        )

    def _to_come(self, visit: TimedVisit, said: StopProgress | None) -> VisitTimes:
        set_out_at = self.expected()
        self.leg(self.drive(self.here, visit.job), None)
        self.here = visit.job
        arrive_at = self.expected()
        return VisitTimes(visit.job, set_out_at, arrive_at, self._work(visit, said))

    def _work(self, visit: TimedVisit, said: StopProgress | None) -> datetime:
        """Do what is left of a visit and say when the crew leaves."""
        for minutes in _minutes_left(visit, said):
            self.leg(minutes, visit.job)
        return self.expected()

    def _eat(self, job: int | None) -> None:
        ends_at = self.at + timedelta(minutes=self.rule.minutes)
        self.meal = Meal(self._zoned(self.at), self._zoned(ends_at), job)
        self.at, self.has_eaten = ends_at, True

    def _zoned(self, moment: datetime) -> datetime:
        return moment.astimezone(self.zone)


def _in_order(visits: Sequence[TimedVisit], said: Mapping[int, StopProgress]) -> list[TimedVisit]:
    """Order houses by when the crew was through with them, then where it is, then as planned."""
    left = [stop for stop in said.values() if stop.last_at is not None and not stop.has_ended]
    here = max(left, key=lambda stop: stop.last_at or LONG_AGO, default=None)

    def place(visit: TimedVisit) -> tuple[int, datetime]:
        stop = said.get(visit.job)
        if stop is not None and stop.ended_at is not None:
            return 0, stop.ended_at
        return (1 if here is not None and visit.job == here.job else 2), LONG_AGO

    return sorted(visits, key=place)


def _minutes_left(visit: TimedVisit, said: StopProgress | None) -> list[int]:
    """Return the pieces of work left of a visit; setting up belongs to the first of all."""
    steps = {step.kind: step for step in said.steps} if said else {}
    if not any(step.started_at or step.finished for step in steps.values()):
        first, *others = [part.minutes for part in visit.parts] or [0]
        return [visit.setup_minutes + first, *others]
    last_at = said.last_at if said else None
    left = [(part, steps.get(part.kind)) for part in visit.parts]
    return [_of_step(part, step, last_at) for part, step in left if not (step and step.is_finished)]


def _of_step(part: PlannedStep, step: StepProgress | None, last_at: datetime | None) -> int:
    """Return what is left of a piece of work at the moment that the house was spoken of last."""
    if step is None or step.started_at is None or last_at is None:
        return part.minutes
    return max(0, part.minutes - int((last_at - step.started_at).total_seconds() // 60))


def _past_half_hour(moment: datetime) -> timedelta:
    return timedelta(
        minutes=moment.minute % 30, seconds=moment.second, microseconds=moment.microsecond
    )
