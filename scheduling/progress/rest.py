"""What is left of a crew's day: when and where it is free, and what it has begun; knows no rows."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from scheduling.progress.stand import DayProgress, StepProgress, StopProgress, StopState

# A piece of work that takes longer than was planned takes at least so much more.
LEAST_LEFT = timedelta(minutes=10)
# After so much silence a crew without signal is taken to have gone on as planned.
SILENCE = timedelta(minutes=20)
# Where a crew says that some of its work is left, at least this share of what was planned is.
LEAST_SHARE_LEFT = 0.25

# Minutes of the drive between two houses by their jobs; None is the yard.
Drive = Callable[[int | None, int | None], int]
BEGUN = (StopState.ON_THE_WAY, StopState.THERE, StopState.WORKING)


@dataclass(frozen=True)
class CrewRest:
    """When a crew is free for something else, and at which house it is then; None is the yard.

    begun: houses that it has finished, is at, or drives to: they stay with it. away: houses that
    turned it away. finished: steps whose end it reported, by job. left_over: of those that it left
    unfinished the share of the part that is done.
    """

    free_at: datetime
    at_job: int | None
    begun: frozenset[int]
    away: frozenset[int]
    finished: frozenset[tuple[int, str]]
    left_over: Mapping[tuple[int, str], float]

    def is_done(self, job: int, step: str) -> bool:
        """Tell whether a step of its day is over by the time it is free: finished or at hand."""
        if job in self.away:
            return (job, step) in self.finished
        return job in self.begun


@dataclass(frozen=True)
class Paper:
    """What the plan says of the day: its start, the set-up at each house, the drives, the meal.

    meal: how long it is, and how long into the day it begins at the latest.
    """

    starts_at: datetime
    setup_minutes: Mapping[int, int]
    drive: Drive
    meal: tuple[timedelta, timedelta] = (timedelta(), timedelta())

    def after(self, at: datetime, work: timedelta) -> datetime:
        """Return when so much work is done that begins at a moment: the meal comes on top."""
        meal, latest = self.meal
        is_over_it = at < self.starts_at + latest < at + work
        return at + work + (meal if is_over_it else timedelta())


def crew_rest(progress: DayProgress, paper: Paper, now: datetime) -> CrewRest:
    """Return what is left of a crew's day at a moment, as far as its facts and its plan tell.

    What it is at is taken to last as planned, and ten minutes more where that time is over. A
    crew that is not heard of for twenty minutes is taken to have gone on to the next house of
    its plan; one that was turned away is taken to wait for word where it is.
    """
    stops = (*progress.stops, *progress.others)
    begun = {stop.job for stop in stops if stop.state in BEGUN or _has_work(stop)}
    at_job, free_at = _place(stops), _said_free(stops, paper, now)
    waits = any(stop.state == StopState.TURNED_AWAY and stop.job == at_job for stop in stops)
    if not waits:
        for stop, leave_at in _by_paper(progress, paper, free_at, at_job):
            if free_at + SILENCE > now:
                break
            begun.add(stop.job)
            at_job, free_at = stop.job, leave_at
    return CrewRest(
        free_at=max(free_at, now),
        at_job=at_job,
        begun=frozenset(begun),
        away=frozenset(stop.job for stop in stops if stop.state == StopState.TURNED_AWAY),
        finished=frozenset((s.job, step.kind) for s in stops for step in s.steps if step.finished),
        left_over=dict(_left_over(stops)),
    )


def _has_work(stop: StopProgress) -> bool:
    """Tell whether any work was done there: also before the crew was turned away from the rest."""
    return any(step.finished is not None for step in stop.steps)


def _place(stops: tuple[StopProgress, ...]) -> int | None:
    """Return the house of which the crew spoke last: it is there, or will be once it is free."""
    heard = [(stop.last_at, stop.job) for stop in stops if stop.last_at is not None]
    return max(heard)[1] if heard else None


def _said_free(stops: tuple[StopProgress, ...], paper: Paper, now: datetime) -> datetime:
    """Return when the crew is through with what it said it had begun, or was through with it."""
    last = max((stop.last_at for stop in stops if stop.last_at), default=paper.starts_at)
    left = [_left(stop, stops, paper, now) for stop in stops if stop.state in BEGUN]
    return paper.after(now, sum(left, timedelta())) if left else last


def _left(
    stop: StopProgress, stops: tuple[StopProgress, ...], paper: Paper, now: datetime
) -> timedelta:
    """Return how long a house still takes the crew that has begun it."""
    work = sum((_step_left(step, now) for step in stop.steps), timedelta())
    if any(step.started_at or step.finished for step in stop.steps):
        return max(work, LEAST_LEFT)
    setup = timedelta(minutes=paper.setup_minutes.get(stop.job, 0))
    if stop.arrived_at is not None:
        return max(work + max(setup - (now - stop.arrived_at), timedelta()), LEAST_LEFT)
    drive = timedelta(minutes=paper.drive(_before(stop, stops), stop.job))
    set_out_at = stop.set_out_at or now
    return max(drive - (now - set_out_at), timedelta()) + setup + work


def _before(stop: StopProgress, stops: tuple[StopProgress, ...]) -> int | None:
    """Return the house from which the crew set out for a stop."""
    heard = [(s.last_at, s.job) for s in stops if s.last_at is not None and s.job != stop.job]
    return max(heard)[1] if heard else None


def _step_left(step: StepProgress, now: datetime) -> timedelta:
    planned = timedelta(minutes=step.planned.minutes if step.planned else 0)
    if step.is_finished:
        return timedelta()
    return (
        planned if step.started_at is None else max(planned - (now - step.started_at), LEAST_LEFT)
    )


def _by_paper(
    progress: DayProgress, paper: Paper, free_at: datetime, at_job: int | None
) -> Iterator[tuple[StopProgress, datetime]]:
    """Yield the houses to come, in driving order, with when the crew would leave each."""
    at, here = free_at, at_job
    for stop in progress.stops:
        if stop.state != StopState.TO_COME:
            continue
        minutes = paper.drive(here, stop.job) + paper.setup_minutes.get(stop.job, 0)
        minutes += sum(step.planned.minutes for step in stop.steps if step.planned)
        at, here = paper.after(at, timedelta(minutes=minutes)), stop.job
        yield stop, at


def _left_over(stops: tuple[StopProgress, ...]) -> Iterator[tuple[tuple[int, str], float]]:
    """Yield, of what was reported as not finished whole, the share of the planned part done."""
    for stop in stops:
        for step in stop.steps:
            said = step.finished
            if said is not None and step.planned and said.what.get("whole") is False:
                done = float(said.what.get("minutes", 0)) / max(1, step.planned.minutes)
                yield (stop.job, step.kind), min(done, 1 - LEAST_SHARE_LEFT)
