"""Where a crew is, how late it comes, what it should have said by now; knows no Django."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from scheduling.progress.clock import DayTimes, Window
from scheduling.progress.stand import ActionKind, DayProgress, StepProgress, StopProgress, StopState

# An arrival so much after the planned one is called late (common practice, no source).
LATE = timedelta(minutes=15)
# So long a word may fail to come before anybody asks for it; of a long piece of work a quarter
# of it (common practice, no source).
GRACE = timedelta(minutes=30)
SHARE_OF_WORK = 4


class CrewPlace(StrEnum):
    """Where a crew is by what it said last."""

    NOTHING_SAID = "nothing_said"
    ON_THE_WAY = "on_the_way"
    THERE = "there"
    WORKING = "working"
    BETWEEN = "between"
    TURNED_AWAY = "turned_away"
    FINISHED = "finished"


@dataclass(frozen=True)
class CrewStand:
    """Where a crew is, at or from which house, at which step, and since when.

    job and since: None where nothing was said. step: empty between two steps.
    """

    place: CrewPlace
    job: int | None = None
    since: datetime | None = None
    step: str = ""


@dataclass(frozen=True)
class Arrival:
    """An arrival as planned and as it was said or is expected; `window` is what was told last."""

    job: int
    planned_at: datetime
    arrive_at: datetime
    is_said: bool
    window: Window | None = None

    @property
    def late_minutes(self) -> int:
        """How many whole minutes after the planned arrival; negative where before."""
        return int((self.arrive_at - self.planned_at).total_seconds() / 60)

    @property
    def is_late(self) -> bool:
        """Whether it is so late that one speaks of it."""
        return self.arrive_at - self.planned_at > LATE

    @property
    def breaks_window(self) -> bool:
        """Whether it falls out of what was told; never where nothing was."""
        return self.window is not None and not self.window.holds(self.arrive_at)


@dataclass(frozen=True)
class Due:
    """What a crew should say next, by when, and how long one waits for it beyond that."""

    action: ActionKind
    job: int
    step: str
    at: datetime
    wait: timedelta

    def is_overdue(self, now: datetime) -> bool:
        """Tell whether it is time to ask for it."""
        return now > self.at + self.wait


def crew_stand(progress: DayProgress) -> CrewStand:
    """Return where a crew is: at the house of which it spoke last, on the plan or not."""
    houses = (*progress.stops, *progress.others)
    begun = [
        (stop.last_at, number)
        for number, stop in enumerate(houses)
        if stop.last_at is not None and stop.state != StopState.TO_COME
    ]
    if not begun:
        return CrewStand(CrewPlace.NOTHING_SAID)
    last = houses[max(begun)[1]]
    step = next((step.kind for step in last.steps if step.is_working), "")
    return CrewStand(_place(last, progress), last.job, _since(last), step)


def arrivals(
    planned: DayTimes, expected: DayTimes, told: Mapping[int, Window]
) -> tuple[Arrival, ...]:
    """Return the arrivals of a day in the order in which its houses are driven to now."""
    return tuple(
        Arrival(
            visit.job,
            planned.of(visit.job).arrive_at,
            visit.arrive_at,
            visit.is_arrival_said,
            told.get(visit.job),
        )
        for visit in expected.visits
    )


def next_due(progress: DayProgress, said: DayTimes) -> Due | None:
    """Return what a crew should say next and by when; None at the end of its day.

    said: the day's times from what was said alone, not put off to the present moment.
    """
    going = progress.next_action
    if going.job is None:
        return None
    visit = said.of(going.job)
    if going.action == ActionKind.SET_OUT:
        return Due(going.action, going.job, "", visit.set_out_at, _wait(visit.set_out_at, said))
    if going.action == ActionKind.ARRIVED:
        return Due(going.action, going.job, "", visit.arrive_at, GRACE)
    stop = next(stop for stop in progress.stops if stop.job == going.job)
    return _of_work(stop, going.step, said)


def _place(last: StopProgress, progress: DayProgress) -> CrewPlace:
    if last.state == StopState.FINISHED:
        is_over = all(stop.has_ended for stop in progress.stops)
        return CrewPlace.FINISHED if is_over else CrewPlace.BETWEEN
    return CrewPlace(last.state)


def _since(stop: StopProgress) -> datetime | None:
    if stop.has_ended:
        return stop.ended_at
    if stop.state == StopState.WORKING:
        started = [step.started_at for step in stop.steps if step.is_working and step.started_at]
        return max(started, default=stop.last_at)
    return stop.arrived_at if stop.state == StopState.THERE else stop.set_out_at


def _of_work(stop: StopProgress, kind: str, said: DayTimes) -> Due:
    """Return the end of the step at hand; of one that nobody began, reckoned from the last word."""
    step = next(step for step in stop.steps if step.kind == kind)
    minutes = timedelta(minutes=step.planned.minutes if step.planned else 0)
    begun = _begun(step, stop) or said.of(stop.job).arrive_at
    meal = _meal_between(begun, begun + minutes, said)
    return Due(
        ActionKind.FINISH,
        stop.job,
        kind,
        begun + minutes + meal,
        max(GRACE, minutes / SHARE_OF_WORK),
    )


def _begun(step: StepProgress, stop: StopProgress) -> datetime | None:
    return step.started_at if step.is_working else stop.last_at


def _wait(moment: datetime, said: DayTimes) -> timedelta:
    """Allow a crew to eat before it drives on, which nobody says."""
    return GRACE + _meal_between(moment, moment + GRACE, said)


def _meal_between(start: datetime, end: datetime, said: DayTimes) -> timedelta:
    meal = said.meal
    if meal is None or not start <= meal.starts_at <= end:
        return timedelta()
    return meal.ends_at - meal.starts_at
