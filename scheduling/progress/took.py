"""What a step took by all reports of it, over days and crews; knows neither Django nor rows."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from scheduling.progress.todo import BAGS_OFF, MINUTES_OFF, TIMES_OFF

__all__ = [
    "BAGS_OFF",
    "MINUTES_OFF",
    "Report",
    "Took",
    "report_of_figures",
    "times_off",
    "took",
]
NO_DAY = date.min
NEVER = datetime.min.replace(tzinfo=UTC)


@dataclass(frozen=True)
class Report:
    """That a crew ended a step on a day: its minutes, bags, depths, and whether all is done."""

    fact: str
    crew: int
    day: date
    at: datetime
    minutes: int
    bags: int | None = None
    depths_in: tuple[float, ...] = ()
    whole: bool = True

    @property
    def order(self) -> tuple[datetime, str]:
        """By when it happened; the id parts what happened in the same moment."""
        return (self.at, self.fact)


@dataclass(frozen=True)
class Took:
    """What a step took: of each crew and day the last report, in the order of their times."""

    reports: tuple[Report, ...]

    @property
    def last(self) -> Report:
        """The report that came last."""
        return self.reports[-1]

    @property
    def is_whole(self) -> bool:
        """Whether the last word on it is that all of it is done."""
        return self.last.whole

    @property
    def minutes(self) -> int:
        """Of the crews on site, all days together."""
        return sum(report.minutes for report in self.reports)

    @property
    def bags(self) -> int | None:
        """All bags together; None where nobody counted."""
        counted = [report.bags for report in self.reports if report.bags is not None]
        return sum(counted) if counted else None

    @property
    def depths_in(self) -> tuple[float, ...]:
        """All depths at markers, in the order in which they were read."""
        return tuple(depth for report in self.reports for depth in report.depths_in)


def report_of_figures(
    told: Mapping[str, Any],
    *,
    fact: str = "",
    crew: int = 0,
    day: date = NO_DAY,
    at: datetime = NEVER,
) -> Report:
    """Return the report of a fact by its figures."""
    return Report(
        fact=fact,
        crew=crew,
        day=day,
        at=at,
        minutes=int(told.get("minutes") or 0),
        bags=told.get("bags"),
        depths_in=tuple(told.get("depths_in") or ()),
        whole=bool(told.get("whole", True)),
    )


def took(reports: Iterable[Report]) -> Took | None:
    """Return what a step took by the reports of it; None where there is none."""
    last: dict[tuple[int, date], Report] = {}
    for report in sorted(reports, key=lambda one: one.order):
        last[report.crew, report.day] = report
    counting = sorted(last.values(), key=lambda one: one.order)
    return Took(tuple(counting)) if counting else None


def times_off(said: float | None, estimate: float | None, off: float) -> float | None:
    """Tell how many times the estimate a figure is where that is odd; None where it is not."""
    if said is None or not estimate or abs(said - estimate) < off:
        return None
    times = said / estimate
    return times if times > TIMES_OFF or times < 1 / TIMES_OFF else None
