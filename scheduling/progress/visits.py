"""What visits to a house found, and what those in vain cost; knows neither Django nor rows."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from scheduling.progress.day import ARRIVED, FINISHED, SET_OUT, STARTED, TURNED_AWAY, DayFact


@dataclass(frozen=True)
class Found:
    """What a day's visits to a house found at last: could a crew start, at which steps.

    steps: that were begun; of a crew turned away, those that are done already. by: the fact that
    said so first, of all that say the same without another between. at: when it was said last.
    """

    could_start: bool
    steps: tuple[str, ...]
    by: DayFact
    at: datetime


@dataclass(frozen=True)
class Lost:
    """Time lost on visits in vain: how many, and their minutes on site and on the road."""

    times: int = 0
    minutes: int = 0

    def __add__(self, other: "Lost") -> "Lost":
        return Lost(self.times + other.times, self.minutes + other.minutes)


def found(facts: Iterable[DayFact]) -> Found | None:
    """Say what a day found at a house, of all crews there: the last word counts.

    None where nobody said whether work could begin.
    """
    told = [
        fact
        for fact in sorted(facts, key=lambda said: said.order)
        if fact.kind in (STARTED, FINISHED, TURNED_AWAY)
    ]
    if not told:
        return None
    could = told[-1].kind != TURNED_AWAY
    kinds = (STARTED, FINISHED) if could else (FINISHED,)
    steps = tuple(dict.fromkeys(fact.step for fact in told if fact.kind in kinds))
    return Found(could, steps, _first_alike(told), told[-1].at)


def _first_alike(told: Sequence[DayFact]) -> DayFact:
    """Return the first of those at the end that say the same: a second lead's word is no news."""
    first = told[-1]
    for fact in reversed(told):
        if _gist(fact) != _gist(first):
            break
        first = fact
    return first


def _gist(fact: DayFact) -> tuple[object, ...]:
    if fact.kind != TURNED_AWAY:
        return (True,)
    return (False, sorted(fact.what.get("missing") or ()), fact.what.get("why", ""))


def lost(facts: Iterable[DayFact], house: int) -> Lost:
    """Say what a crew lost on a day at a house that it was turned away from for good.

    facts: all of the crew's day. The time runs from setting out, or else from arriving, to when
    it set out for the next house, or else to its word that it was turned away.
    """
    told = sorted(facts, key=lambda said: said.order)
    here = [fact for fact in told if fact.job == house]
    away = next((fact for fact in reversed(here) if fact.kind == TURNED_AWAY), None)
    if away is None or any(f.kind in (STARTED, FINISHED) and f.order > away.order for f in here):
        return Lost()
    begun = _begun(here, away)
    left = next((f.at for f in told if f.order > away.order and f.kind == SET_OUT), away.at)
    return Lost(1, max(0, round((left - begun) / timedelta(minutes=1))))


def _begun(here: Sequence[DayFact], away: DayFact) -> datetime:
    """Return when that visit began: the crew may have worked there earlier in the day."""
    before = [fact for fact in here if fact.order < away.order]
    worked = [number for number, f in enumerate(before) if f.kind in (STARTED, FINISHED)]
    if worked:
        return before[worked[-1]].at
    way = [fact.at for fact in before if fact.kind in (SET_OUT, ARRIVED)]
    return way[0] if way else (before[0].at if before else away.at)
