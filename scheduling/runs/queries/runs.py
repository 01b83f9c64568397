"""How planning runs go and what their proposals would change; changes nothing."""

from datetime import date

from django.utils.translation import gettext, ngettext

from contractor.access import Scope
from jobs.conditions.words import STEP_NAMES
from jobs.shown import day_shown
from scheduling.gather.gathered import Gathered, GatherError, gather
from scheduling.gather.standing import without_begun
from scheduling.models import PlanningRun
from scheduling.planning.placing import PlacedStep, placed_steps
from scheduling.planning.plan import Plan, parse_plan
from scheduling.runs.queries.rest import because_of, counts_on
from scheduling.weeks.shapes import RunPage

Place = tuple[str, str]  # a crew and a date


def run_visible(scope: Scope, run_id: int) -> PlanningRun | None:
    """Return a run of a branch that the person sees, else None."""
    runs = PlanningRun.objects.visible_to(scope).select_related("branch", "asked_by")
    return runs.filter(pk=run_id).first()


def run_page(*, run: PlanningRun) -> RunPage:
    """Return how far a run is; for a proposal that is still open also what it would move."""
    last = run.progress[-1] if run.progress else {}
    outcome = run.outcome or {}
    gathered = _gathered(run) if run.is_proposal else None
    return RunPage(
        cost=outcome.get("cost", last.get("cost")),
        bound=outcome.get("bound", last.get("bound")),
        gap=outcome.get("gap", last.get("gap")),
        seconds=outcome.get("seconds", last.get("seconds", 0.0)),
        points=tuple((p["seconds"], p["cost"], p["bound"]) for p in run.progress),
        changes=_changes(run, gathered) if gathered else (),
        attempt=run.attempt,
        is_starting=run.state in PlanningRun.UNDER_WAY and not run.progress,
        because=because_of(run) if run.rest_from else (),
        counts_on=counts_on(gathered) if gathered else (),
    )


def _gathered(run: PlanningRun) -> Gathered | None:
    """The days that the run planned as they are now; None once they cannot be read as asked."""
    if not run.outcome or not run.outcome.get("plan"):
        return None
    today = date.fromisoformat(run.problem["days"][0])
    branch, first, weeks = run.branch, run.first, run.weeks
    try:
        return gather(branch=branch, first=first, weeks=weeks, today=today, rest_at=run.rest_from)
    except GatherError:
        return None


def _changes(run: PlanningRun, gathered: Gathered) -> tuple[str, ...]:
    """What accepting would move, in words."""
    outcome = run.outcome or {}
    plan = without_begun(gathered, parse_plan(outcome["plan"]))
    now = _standing(gathered.plan, [day.isoformat() for day in gathered.days])
    return tuple(_sentences(gathered, now, _standing(plan, list(run.problem["days"]))))


def _standing(plan: Plan, days: list[str]) -> dict[str, Place]:
    """Crew and first date of every step."""
    return {step: _where(found, days) for step, found in placed_steps(plan).items()}


def _where(placed: PlacedStep, days: list[str]) -> Place:
    return placed.crew, days[placed.first_day]


def _sentences(gathered: Gathered, now: dict[str, Place], new: dict[str, Place]) -> list[str]:
    """One sentence for all steps of a house that go the same way, by the day that they go to."""
    together: dict[tuple[str, Place | None, Place | None], list[str]] = {}
    for outlook in gathered.rows.outlooks:
        for entry in outlook.steps:
            before, after = now.get(entry.step.plan_id), new.get(entry.step.plan_id)
            if before != after:
                kinds = together.setdefault((str(outlook.job), before, after), [])
                kinds.append(gettext(STEP_NAMES[entry.step.kind]))
    moves = sorted(together, key=lambda move: ((move[2] or ("", "~"))[1], move[0]))
    return [_sentence(gathered, *move, together[move]) for move in moves]


def _sentence(
    gathered: Gathered, house: str, before: Place | None, after: Place | None, kinds: list[str]
) -> str:
    steps = [", ".join(kinds[:-1]), kinds[-1]] if len(kinds) > 1 else kinds
    words = {"house": house, "steps": gettext(" and ").join(steps)}
    words |= {"was": _at(gathered, before), "at": _at(gathered, after)}
    return _move_words(before, after, len(kinds)) % words


def _move_words(before: Place | None, after: Place | None, steps: int) -> str:
    if after is None:
        return ngettext(
            "%(house)s: %(steps)s comes off the plan, was on %(was)s",
            "%(house)s: %(steps)s come off the plan, were on %(was)s",
            steps,
        )
    if before is None:
        return ngettext(
            "%(house)s: %(steps)s is new on %(at)s",
            "%(house)s: %(steps)s are new on %(at)s",
            steps,
        )
    return ngettext(
        "%(house)s: %(steps)s moves from %(was)s, to %(at)s",
        "%(house)s: %(steps)s move from %(was)s, to %(at)s",
        steps,
    )


def _at(gathered: Gathered, place: Place | None) -> str:
    if place is None:
        return ""
    crew, day = place
    return f"{day_shown(date.fromisoformat(day))}, {gathered.names.named(crew)}"
