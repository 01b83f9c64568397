"""How planning runs go and what their proposals would change; changes nothing."""

from datetime import date

from contractor.access import Scope
from scheduling.gather import GatherError, gather
from scheduling.gather.gathered import Gathered
from scheduling.models import PlanningRun
from scheduling.planning.placing import PlacedStep, placed_steps
from scheduling.planning.plan import Plan, parse_plan
from scheduling.queries.shapes import RunPage


def run_visible(scope: Scope, run_id: int) -> PlanningRun | None:
    """Return a run of a branch that the person sees, else None."""
    runs = PlanningRun.objects.visible_to(scope).select_related("branch", "asked_by")
    return runs.filter(pk=run_id).first()


def run_page(*, run: PlanningRun) -> RunPage:
    """Return how far a run is; for a proposal that is still open also what it would move."""
    last = run.progress[-1] if run.progress else {}
    outcome = run.outcome or {}
    return RunPage(
        cost=outcome.get("cost", last.get("cost")),
        bound=outcome.get("bound", last.get("bound")),
        gap=outcome.get("gap", last.get("gap")),
        seconds=outcome.get("seconds", last.get("seconds", 0.0)),
        points=tuple((p["seconds"], p["cost"], p["bound"]) for p in run.progress),
        changes=_changes(run) if run.is_proposal else (),
        attempt=run.attempt,
        is_starting=run.state in PlanningRun.UNDER_WAY and not run.progress,
    )


def _changes(run: PlanningRun) -> tuple[str, ...]:
    """What accepting would move, in words; nothing once the weeks cannot be read as asked."""
    if not run.outcome or not run.outcome.get("plan"):
        return ()
    today = date.fromisoformat(run.problem["days"][0])
    try:
        gathered = gather(branch=run.branch, first=run.first, weeks=run.weeks, today=today)
    except GatherError:
        return ()
    days = list(run.problem["days"])
    now = _standing(gathered.plan, [day.isoformat() for day in gathered.days])
    new = _standing(parse_plan(run.outcome["plan"]), days)
    return tuple(_sentences(gathered, now, new))


def _standing(plan: Plan, days: list[str]) -> dict[str, tuple[str, str]]:
    """Crew and first date of every step."""
    return {step: _where(found, days) for step, found in placed_steps(plan).items()}


def _where(placed: PlacedStep, days: list[str]) -> tuple[str, str]:
    return placed.crew, days[placed.first_day]


def _sentences(
    gathered: Gathered, now: dict[str, tuple[str, str]], new: dict[str, tuple[str, str]]
) -> list[str]:
    found = []
    for step in sorted({*now, *new}, key=lambda step: (new.get(step, ("", "~"))[1], step)):
        before, after = now.get(step), new.get(step)
        if before == after:
            continue
        if after is None:
            text = f"{step} comes off the plan"
        elif before is None:
            text = f"{step} goes on {after[1]} with {after[0]}"
        else:
            text = f"{step} moves from {before[1]}, {before[0]}, to {after[1]}, {after[0]}"
        found.append(gathered.names.say(text))
    return found
