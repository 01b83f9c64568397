"""A crew's day as planned, and what was said of it; knows neither Django nor the clock."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from typing import Any

SET_OUT = "set_out"
ARRIVED = "arrived"
CHECKED = "checked"
STARTED = "started"
FINISHED = "finished"
TURNED_AWAY = "turned_away"
PHOTO = "photo"
NOTE = "note"
KINDS = (SET_OUT, ARRIVED, CHECKED, STARTED, FINISHED, TURNED_AWAY, PHOTO, NOTE)

TRUE = "true"
NOT_TRUE = "not_true"
WE_DID_IT = "we_did_it"
ANSWERS = (TRUE, NOT_TRUE, WE_DID_IT)


class ReadyHouse(StrEnum):
    """How sure it is that a crew finds a house ready: seen by us, told to us, or neither."""

    SEEN = "seen"
    REPORTED = "reported"
    HELD = "held"


@dataclass(frozen=True)
class Check:
    """A condition that is to be seen before the steps of these kinds may start."""

    condition: int
    holds: tuple[str, ...]


@dataclass(frozen=True)
class PlannedStep:
    """The part of a step that is planned for the day: minutes of the crew, bags where blown."""

    kind: str
    minutes: int
    bags: float | None = None


@dataclass(frozen=True)
class PlannedStop:
    """A visit: its steps in their order, what is to be seen before they start, how ready it is."""

    job: int
    steps: tuple[PlannedStep, ...]
    checks: tuple[Check, ...] = ()
    ready: ReadyHouse = ReadyHouse.HELD


@dataclass(frozen=True)
class DayPlan:
    """A crew's posted day, its stops in driving order."""

    crew: int
    day: date
    stops: tuple[PlannedStop, ...]


@dataclass(frozen=True)
class DayFact:
    """One fact: what happened, where, and when by a clock that was set right.

    what: `answer` of a check; `minutes`, `bags`, `depths_in`, `whole` of a finished step;
    `missing` and `why` of a crew turned away.
    """

    id: str
    kind: str
    at: datetime
    job: int | None = None
    step: str = ""
    condition: int | None = None
    what: Mapping[str, Any] = field(default_factory=dict)

    @property
    def order(self) -> tuple[datetime, str]:
        """By when it happened; the id parts what happened in the same moment."""
        return (self.at, self.id)


def finished_counting(facts: Iterable[DayFact]) -> dict[tuple[int | None, str], DayFact]:
    """Take the last of several reports that one crew finished a step on one day; by job and step.

    So a second lead of the crew, or a second tap with better figures, never doubles the minutes.
    """
    last: dict[tuple[int | None, str], DayFact] = {}
    for fact in sorted(facts, key=lambda said: said.order):
        if fact.kind == FINISHED:
            last[fact.job, fact.step] = fact
    return last
