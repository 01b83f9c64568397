"""What jobs ask of the plan, as Protocols that the floor above fills; knows no week and no fact."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Protocol

from django.db.models import QuerySet

from contractor.access import Scope
from contractor.ports import Port
from jobs.lost_time import LostTime
from jobs.models import Job
from jobs.reported_steps import ReportedStep
from jobs.stakes import Stake
from jobs.whereabouts import PlannedDay


class TellsPlannedDays(Protocol):
    """Tells where jobs stand on the plan."""

    def __call__(self, jobs: "QuerySet[Job]", /) -> list[PlannedDay]:
        """Return every day on which a posted or drafted week holds a step of these jobs, by day."""


class TellsStakes(Protocol):
    """Tells how much each coming visit puts at risk."""

    def __call__(self, jobs: "QuerySet[Job]", now: datetime, /) -> Iterable[Stake]:
        """Return the coming visits to these jobs, by day, as the office means the plan now."""


class TellsReportedSteps(Protocol):
    """Tells what crews said of a job's steps."""

    def __call__(self, job: Job, /) -> tuple[ReportedStep, ...]:
        """Return what was said of each step, in the order of the work."""


class TellsLostTime(Protocol):
    """Tells what was lost where crews were turned away."""

    def __call__(
        self, scope: Scope, /, *, builder_id: int | None, branch_id: int | None
    ) -> Mapping[int, LostTime]:
        """Return what was lost by house, of one builder or one yard or of all the scope sees."""


PLANNED_DAYS: Port[TellsPlannedDays] = Port("planned days")
STAKES: Port[TellsStakes] = Port("stakes")
REPORTED_STEPS: Port[TellsReportedSteps] = Port("said steps")
LOST_TIME: Port[TellsLostTime] = Port("lost time")


def planned_days(jobs: "QuerySet[Job]") -> list[PlannedDay]:
    """Return every day on which a posted or drafted week holds a step of these jobs, by day."""
    return PLANNED_DAYS.ask(jobs)


def stakes_of(jobs: "QuerySet[Job]", now: datetime) -> dict[int, list[Stake]]:
    """Return each job's coming visits, by day, as the office means the plan now: drafts first."""
    found: dict[int, list[Stake]] = {}
    for stake in STAKES.ask(jobs, now):
        found.setdefault(stake.job_id, []).append(stake)
    return found


def reported_steps(job: Job) -> tuple[ReportedStep, ...]:
    """Return what crews said of the steps of a job, in the order of the work."""
    return REPORTED_STEPS.ask(job)


def lost_time(
    scope: Scope, *, builder_id: int | None = None, branch_id: int | None = None
) -> LostTime:
    """Return what was lost at the houses the scope sees, of one builder or one yard or of all."""
    found = LOST_TIME.ask(scope, builder_id=builder_id, branch_id=branch_id)
    return sum(found.values(), LostTime())
