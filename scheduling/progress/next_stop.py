"""Where a crew that was turned away goes next; knows neither Django nor rows nor the drive."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from jobs.conditions import states
from jobs.conditions.readiness import JobCondition
from scheduling.progress.day import ReadyHouse
from scheduling.progress.stand import StopProgress, StopState

SETTLED = (states.SEEN_DONE, states.WAIVED, states.TAKEN_OVER)


@dataclass(frozen=True)
class NextStop:
    """The house to go to, and whether it is only said to be ready."""

    job: int
    ready: ReadyHouse


def stop_ready(step_kinds: Collection[str], conditions: Iterable[JobCondition]) -> ReadyHouse:
    """Return how ready a house is for these kinds of step, this very hour.

    A promise for today counts for nothing here: nobody has said that it was kept. What we owe
    ourselves, and what only warns, holds nobody up. A stop is never waived and never taken over.
    """
    kinds = frozenset(step_kinds)
    awaited = [c for c in conditions if c.is_awaited and not kinds.isdisjoint(c.holds)]
    if not all(condition.is_settled for condition in awaited):
        return ReadyHouse.HELD
    if any(condition.state not in SETTLED for condition in awaited):
        return ReadyHouse.REPORTED
    return ReadyHouse.SEEN


def next_stop(
    stops: Sequence[StopProgress], ready: dict[int, ReadyHouse], away_from: int
) -> NextStop | None:
    """Return where a crew goes that was turned away from a house, None where it should ring.

    In driving order the first house that nobody has been to yet and that was seen ready, else
    the first of which that was only reported. Where it has begun already, it goes back to that.
    """
    others = [stop for stop in stops if stop.job != away_from and not stop.has_ended]
    begun = [stop for stop in others if stop.state == StopState.WORKING]
    if begun:
        return NextStop(begun[0].job, ReadyHouse.SEEN)
    for sure in (ReadyHouse.SEEN, ReadyHouse.REPORTED):
        for stop in others:
            if ready.get(stop.job, ReadyHouse.HELD) == sure:
                return NextStop(stop.job, sure)
    return None
