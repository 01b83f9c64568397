"""Crew-days as drafts store them, with what is over of a day that has begun; writes nothing."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from contractor.workdays import IsoWeek
from scheduling.gather.gathered import Gathered
from scheduling.models import Week


@dataclass(frozen=True)
class PartRow:
    """Minutes of one step at a stop, with what the whole step takes that crew."""

    step_id: int
    minutes: int
    step_minutes: int


@dataclass(frozen=True)
class CrewDayRows:
    """One crew's day as it is stored: each stop's job with its parts, in driving order."""

    crew_id: int
    day: date
    stops: tuple[tuple[int, tuple[PartRow, ...]], ...]
    machine_kinds: tuple[str, ...] = ()


def with_kept(planned: Iterable[CrewDayRows], gathered: Gathered, week: Week) -> list[CrewDayRows]:
    """Put what is over of a day that has begun before what was planned for the rest of it."""
    rest, rows = gathered.rest, list(planned)
    if rest is None or IsoWeek.of(rest.day) != week.iso:
        return rows
    kept = _kept(gathered)
    found = [
        replace(row, stops=(*kept.pop(row.crew_id, ()), *row.stops)) if row.day == rest.day else row
        for row in rows
    ]
    return found + [CrewDayRows(crew, rest.day, stops) for crew, stops in kept.items()]


def _kept(gathered: Gathered) -> dict[int, tuple[tuple[int, tuple[PartRow, ...]], ...]]:
    """Return the stops that are over, by crew, in the order in which they were posted."""
    over = [part for part in gathered.rows.placements.effective if part.is_done]
    stops: dict[int, dict[int, list[PartRow]]] = {}
    for part in sorted(over, key=lambda p: (p.crew_id, p.position, p.step_position)):
        row = PartRow(part.step_id, part.minutes, part.step_minutes)
        stops.setdefault(part.crew_id, {}).setdefault(part.job_id, []).append(row)
    return {
        crew: tuple((job, tuple(parts)) for job, parts in jobs.items())
        for crew, jobs in stops.items()
    }
