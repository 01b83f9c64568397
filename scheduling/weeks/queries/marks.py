"""How ready a house is, in marks and in lines: solid ready, dashed doubtful, hatched not ready."""

from collections.abc import Collection, Sequence

from jobs.conditions.readiness import JobCondition, line_of, marks
from jobs.models import Job
from scheduling.weeks.shapes import ReadinessMarks

SOLID, DASHED, HATCHED = "solid", "dashed", "hatched"


def readiness_marks(
    job: Job,
    conditions: Sequence[JobCondition],
    kinds: Collection[str],
    *,
    is_closed: bool = False,
) -> ReadinessMarks:
    """Return how ready a job is: the marks of all of it, the line for some kinds of step.

    `is_closed` says that the day is closed to the work, whatever the marks.
    """
    return ReadinessMarks(
        line=HATCHED if is_closed else _worst(job, conditions, frozenset(kinds)),
        marks=marks(conditions, job.ready_date),
    )


def _worst(job: Job, conditions: Sequence[JobCondition], kinds: frozenset[str]) -> str:
    lines = {
        line_of(condition, job.ready_date)
        for condition in conditions
        if condition.is_awaited and not kinds.isdisjoint(condition.holds)
    }
    return next((line for line in (HATCHED, DASHED) if line in lines), SOLID)
