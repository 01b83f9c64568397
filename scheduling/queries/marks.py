"""How ready a house is, in words and in lines: solid ready, dashed doubtful, hatched not ready."""

from collections.abc import Collection, Iterable

from jobs.conditions.readiness import marks
from jobs.conditions_rows import job_condition
from jobs.models import Condition, Job
from scheduling.gather import shown
from scheduling.queries.shapes import Readiness

SOLID, DASHED, HATCHED = "solid", "dashed", "hatched"


def readiness_of(
    job: Job,
    conditions: Iterable[Condition],
    kinds: Collection[str],
    *,
    is_closed: bool = False,
) -> Readiness:
    """Return how ready a job is: the count for all of it, the line for some kinds of step.

    `is_closed` says that the day is closed to the work, whatever the marks.
    """
    rows = [job_condition(row) for row in conditions]
    whole = marks(rows, job.ready_date)
    lines = {mark.line for kind in kinds for mark in marks(rows, job.ready_date, kind).marks}
    return Readiness(
        line=HATCHED if is_closed else _worst(lines),
        count=shown(whole.count),
        open=tuple(shown(sentence) for sentence in whole.open),
    )


def _worst(lines: set[str]) -> str:
    return next((line for line in (HATCHED, DASHED) if line in lines), SOLID)
