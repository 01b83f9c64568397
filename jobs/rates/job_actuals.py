"""What a job's steps took beside their estimates, for the page of the job; writes nothing."""

from typing import Any

from contractor.access import Action, may
from contractor.models import User
from jobs.estimates.targets import depth_targets
from jobs.estimating import loads_read
from jobs.models import Job
from jobs.plan_ports import reported_steps
from jobs.rates.actual_ratios import bags_in
from jobs.rates.queries import job_actuals, ratio_of


def actuals_of(job: Job, user: User) -> dict[str, Any]:
    """Return a job's needed or finished steps, the actual that holds, and if one may enter."""
    steps = list(job.steps.all())
    held = job_actuals(steps)
    needed = [step for step in steps if step.needed]
    return {
        "all_done": job.state == Job.State.OPEN
        and bool(needed)
        and all(step.pk in held for step in needed),
        "said": reported_steps(job),
        "targets": depth_targets(job.spaces.all()),
        "may_correct": may(user, Action.CORRECT_FACT),
        "lines": [
            {
                "step": step,
                "bags": bags_in(loads_read(step.loads)),
                "minutes": step.crew_minutes.get("2") or min(step.crew_minutes.values(), default=0),
                "actual": held.get(step.pk),
                "ratio": ratio_of(held[step.pk]) if step.pk in held else None,
            }
            for step in steps
            if step.needed or step.pk in held
        ],
        "may_enter": may(user, Action.ENTER_ACTUAL),
    }
