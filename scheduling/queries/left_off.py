"""What a planning run left off, in the office's words; changes nothing."""

from collections.abc import Sequence

from contractor.models import Crew
from jobs.conditions.words import STEP_NAMES
from jobs.models import Step
from scheduling.gather import Names
from scheduling.models import PlanningRun


def run_left_off(*, run: PlanningRun) -> tuple[str, ...]:
    """Return a sentence for each step that the run's plan leaves off: which, where and why.

    Two queries, none where the plan holds every step.
    """
    unplaced = (run.outcome or {}).get("unplaced", [])
    if not unplaced:
        return ()
    names = _names(run, [entry["step"] for entry in unplaced])
    return tuple(names.say(f"{entry['step']}: {entry['reason']}") for entry in unplaced)


def _names(run: PlanningRun, planner_ids: Sequence[str]) -> Names:
    steps = Step.objects.filter(pk__in=[int(name.rpartition("-")[2]) for name in planner_ids])
    crews = Crew.objects.filter(branch=run.branch)
    words = {f"crew-{crew.pk}": crew.name for crew in crews}
    for step in steps.select_related("job__site"):
        words[step.plan_id] = f"{STEP_NAMES[step.kind]} at {step.job}"
        words[step.job.plan_id] = str(step.job)
    return Names(words)
