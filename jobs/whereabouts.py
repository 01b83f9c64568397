"""Where jobs stand on the plan, as it tells through `plan_ports`; knows no week."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class PlannedDay:
    """A step of a job on a crew's day.

    week: as ISO writes it. posted: crews and builders see it. being_changed: it is posted, but
    the office is drafting that week anew, so the draft goes before it.
    """

    job_id: int
    step_id: int
    step_kind: str
    day: date
    crew: str
    week: str
    posted: bool
    being_changed: bool = False


@dataclass(frozen=True)
class PlannedVisit:
    """What one crew does at a job on one day of a posted or a drafted week."""

    day: date
    crew: str
    week: str
    posted: bool
    being_changed: bool
    step_kinds: tuple[str, ...]


def step_days(days: Iterable[PlannedDay], today: date) -> dict[int, date]:
    """Return each step's first day from today on, as the office means it now: drafts first."""
    coming: dict[int, date] = {}
    for planned in days:
        if planned.day >= today and not planned.being_changed:
            coming[planned.step_id] = min(planned.day, coming.get(planned.step_id, planned.day))
    return coming


def days_by_job(days: Iterable[PlannedDay]) -> dict[int, list[PlannedDay]]:
    """Return the same days, gathered by job."""
    found: dict[int, list[PlannedDay]] = {}
    for planned in days:
        found.setdefault(planned.job_id, []).append(planned)
    return found


def visits(days: Iterable[PlannedDay]) -> list[PlannedVisit]:
    """Return the days of one job gathered by visit, in the order given."""
    found: dict[tuple[date, str, str, bool, bool], list[str]] = {}
    for planned in days:
        key = (planned.day, planned.crew, planned.week, planned.posted, planned.being_changed)
        found.setdefault(key, []).append(planned.step_kind)
    return [PlannedVisit(*key, step_kinds=tuple(kinds)) for key, kinds in found.items()]
