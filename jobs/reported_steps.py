"""What crews said of a job's steps, as the plan tells it through `plan_ports`; knows no fact."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True)
class ReportedFigures:
    """Minutes of the crew, bags, depths at the markers, and whether all was done."""

    minutes: int
    bags: int | None
    depths_in: tuple[float, ...]
    whole: bool


@dataclass(frozen=True)
class SetRight:
    """That an office set figures right: who, when and why."""

    who: str
    at: datetime
    reason: str


@dataclass(frozen=True)
class StepReport:
    """That a crew ended a step on a day, as it was said and as it holds now.

    counts: a later report of the same crew and day takes its place otherwise. address: of the
    page that corrects it.
    """

    crew: str
    day: date
    at: datetime
    who: str
    said: ReportedFigures
    holds: ReportedFigures
    counts: bool
    address: str
    corrected: SetRight | None = None


@dataclass(frozen=True)
class ReportedStep:
    """All reports of one kind of step, in the order of their times; `times`: odd figures.

    times: how many times the estimate minutes and bags are, where that is odd.
    """

    kind: str
    reports: tuple[StepReport, ...]
    is_whole: bool
    times: Mapping[str, float]

    @property
    def depths_in(self) -> tuple[float, ...]:
        """The depths at the markers that hold, of all reports that count."""
        counting = [report.holds.depths_in for report in self.reports if report.counts]
        return tuple(depth for depths in counting for depth in depths)
