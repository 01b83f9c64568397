"""What a job's steps took beside their estimates, for the page of the job; writes nothing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from contractor.access import Action, may
from contractor.models import User
from jobs.estimates.targets import DepthTarget, depth_targets
from jobs.estimating import loads_read
from jobs.models import Actual, Job, Step
from jobs.plan_ports import reported_steps
from jobs.rates.actual_ratios import bags_in
from jobs.rates.queries import job_actuals, ratio_of
from jobs.reported_steps import ReportedStep


@dataclass(frozen=True)
class ActualLine:
    """A step with what was estimated and, once it is finished, the actual that holds."""

    step: Step
    bags: int | None
    minutes: int
    actual: Actual | None
    ratio: float | None


@dataclass(frozen=True)
class JobActuals:
    """What the page of a job tells of its actuals, and what this person may do with them."""

    lines: tuple[ActualLine, ...]
    all_done: bool
    said: tuple[ReportedStep, ...]
    targets: Mapping[str, Sequence[DepthTarget]]
    may_enter: bool
    may_correct: bool


def actuals_of(job: Job, user: User) -> JobActuals:
    """Return a job's needed or finished steps, the actual that holds, and if one may enter."""
    steps = list(job.steps.all())
    held = job_actuals(steps)
    needed = [step for step in steps if step.needed]
    is_open = job.state == Job.State.OPEN
    return JobActuals(
        lines=tuple(
            _line(step, held.get(step.pk)) for step in steps if step.needed or step.pk in held
        ),
        all_done=is_open and bool(needed) and all(step.pk in held for step in needed),
        said=reported_steps(job),
        targets=depth_targets(job.spaces.all()),
        may_enter=may(user, Action.ENTER_ACTUAL),
        may_correct=may(user, Action.CORRECT_FACT),
    )


def _line(step: Step, held: Actual | None) -> ActualLine:
    return ActualLine(
        step=step,
        bags=bags_in(loads_read(step.loads)),
        minutes=step.minutes_by_people.pair,
        actual=held,
        ratio=None if held is None else ratio_of(held),
    )
