"""How far jobs are: each step's risk by day, what is owed, what holds; writes nothing, no week."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property, lru_cache

from django.db.models import QuerySet

from contractor.workdays import WorkCalendar
from jobs.catalogue.rows import CONDITION_COLUMNS, condition_of_columns, job_condition
from jobs.conditions.chance import Forecast
from jobs.conditions.readiness import JobCondition, Marks, marks, newly_needed
from jobs.models import Condition, EstimateWarning, Job, Space, Step
from jobs.record.queries import forecasts_read

NOTHING_HELD: tuple[EstimateWarning, ...] = ()
NO_DAYS = Forecast((), date.min)


@dataclass(frozen=True)
class StepOutlook:
    """A step with its risk on each day asked for, and what holds it.

    risks: 1 - chance ready, one for each day. first_needed: the conditions that no earlier step
    needs already; first_risks: 1 - the chance of those alone. held_by: warnings that somebody
    must answer before the step is planned.
    """

    step: Step
    risks: tuple[float, ...]
    first_needed: tuple[JobCondition, ...]
    first_risks: tuple[float, ...]
    held_by: tuple[EstimateWarning, ...]


@dataclass(frozen=True)
class JobOutlook:
    """A job with its needed steps in order, its needed conditions, and its warnings."""

    job: Job
    steps: tuple[StepOutlook, ...]
    conditions: tuple[JobCondition, ...]
    warnings: tuple[EstimateWarning, ...]

    @cached_property
    def marks(self) -> Marks:
        """How far its conditions are."""
        return marks(self.conditions, self.job.ready_date)


def jobs_outlook(
    jobs: QuerySet[Job],
    days: Sequence[date],
    *,
    today: date | None = None,
    work: WorkCalendar | None = None,
) -> list[JobOutlook]:
    """Return each job with the risks of its steps on `days`, in the order of `jobs`.

    Four statements, and up to three for the record where there are days. today: the day from
    which lead times count, the first of the days when left out. work: the calendar of their one
    branch, read where it is left out.
    """
    loaded = list(
        jobs.select_related(
            "site__builder", "site__superintendent", "site__branch"
        ).prefetch_related("steps")
    )
    job_ids = [job.pk for job in loaded]
    conditions, warnings = _conditions(job_ids), _warnings(job_ids)
    branches = {job.site.branch_id: job.site.branch for job in loaded}
    forecasts = forecasts_read(branches.values(), days, today, work)
    return [
        outlook_of(job, conditions.get(job.pk, ()), warnings.get(job.pk, ()), forecasts.of(job))
        for job in loaded
    ]


def outlook_of_loaded(job: Job) -> JobOutlook:
    """Return the outlook, without a day, of a job whose steps, conditions and spaces are loaded."""
    conditions = [job_condition(row) for row in job.conditions.all() if row.needed]
    return outlook_of(job, conditions, _warnings_of(job.spaces.all()), NO_DAYS)


def outlook_of(
    job: Job,
    conditions: Sequence[JobCondition],
    warnings: Sequence[EstimateWarning],
    forecast: Forecast,
) -> JobOutlook:
    """Return the outlook of a job whose steps are loaded, under the conditions that it needs."""
    steps = [step for step in job.steps.all() if step.needed]
    first = newly_needed([step.kind for step in steps], conditions)
    still_open = [warning for warning in warnings if warning.is_open]
    return JobOutlook(
        job=job,
        steps=tuple(
            StepOutlook(
                step=step,
                risks=_risks(forecast.step(step.kind, conditions, job.ready_date)),
                first_needed=tuple(first[step.kind]),
                first_risks=_risks(forecast.step(step.kind, first[step.kind], job.ready_date)),
                held_by=_holding(step, still_open) if still_open else NOTHING_HELD,
            )
            for step in steps
        ),
        conditions=tuple(conditions),
        warnings=tuple(sorted(warnings, key=lambda warning: not warning.is_open)),
    )


@lru_cache(maxsize=4096)
def _risks(chances: tuple[float, ...]) -> tuple[float, ...]:
    """Return what the planner gets: 1 - chance to three digits."""
    return tuple(round(1 - chance, 3) for chance in chances)


def _holding(step: Step, warnings: Iterable[EstimateWarning]) -> tuple[EstimateWarning, ...]:
    return tuple(warning for warning in warnings if step.kind in warning.step_kinds)


def _conditions(job_ids: Sequence[int]) -> dict[int, list[JobCondition]]:
    """Return the needed conditions by job; columns, not rows: there are dozens to a job."""
    found: dict[int, list[JobCondition]] = {}
    needed = Condition.objects.filter(job__in=job_ids, needed=True).order_by("job_id", "code")
    for columns in needed.values_list(*CONDITION_COLUMNS, "job_id"):
        found.setdefault(columns[-1], []).append(condition_of_columns(columns[:-1]))
    return found


def _warnings(job_ids: Sequence[int]) -> dict[int, list[EstimateWarning]]:
    """Return the warnings by job, in the order of its spaces."""
    found: dict[int, list[EstimateWarning]] = {}
    rows = EstimateWarning.objects.filter(space__job__in=job_ids).select_related("answered_by")
    in_order = rows.select_related("space").defer("space__estimate")
    for warning in in_order.order_by("space_id", "code"):
        found.setdefault(warning.space.job_id, []).append(warning)
    return found


def _warnings_of(spaces: Iterable[Space]) -> list[EstimateWarning]:
    return [warning for space in spaces for warning in space.warnings.all()]
