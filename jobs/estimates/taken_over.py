"""The estimate of work taken over, at the branch's rates, as a charge and a step keep it."""

from collections.abc import Iterable
from dataclasses import dataclass

from jobs.crew_minutes import CrewMinutes, crew_minutes_sum
from jobs.estimates.branch_rates import BranchRates, rates_into
from jobs.estimates.outcome import StepFigures, job_steps, loads_together
from jobs.estimating import ExplainedFigure, Load, estimate_takeoff, loads_read
from jobs.estimating.taken_over import Reckoned, Taken, taken_check, taken_cover, taken_takeoff
from jobs.models import BackCharge

COVER_ITEMS = {
    "rigid_cover": "rigid cover",
    "sheet_metal": "sheet metal",
    "fastenings": "fastenings",
}


@dataclass(frozen=True)
class TakenEstimate:
    """Minutes, what to load and every figure with its source."""

    crew_minutes: CrewMinutes
    person_minutes: int
    loads: tuple[Load, ...]
    figures: tuple[ExplainedFigure | Reckoned, ...]


def taken_estimate(taken: Taken, rates: BranchRates) -> TakenEstimate:
    """Estimate the work; raises MeasureError for what cannot be, TakeoffError for bad rates."""
    taken_check(taken)
    takeoff = taken_takeoff(taken)
    rates_into(takeoff, rates, (), None)
    estimate = estimate_takeoff(takeoff)
    (step,) = job_steps(estimate)
    cover = taken_cover(taken)
    loads = [Load(COVER_ITEMS[one.figure], one.value, one.unit) for one in cover]
    explained = [figure for space in estimate.spaces for figure in space.steps[0].explain]
    return TakenEstimate(
        step.crew_minutes,
        step.person_minutes,
        (*loads, *step.loads),
        (*cover, *explained),
    )


def figures_of(charges: Iterable[BackCharge]) -> list[StepFigures]:
    """Return the steps that these charges make, those of one kind as one step."""
    by_kind: dict[str, list[BackCharge]] = {}
    for charge in charges:
        by_kind.setdefault(charge.step_kind, []).append(charge)
    return [_figures(kind, charges) for kind, charges in by_kind.items()]


def _figures(kind: str, charges: list[BackCharge]) -> StepFigures:
    return StepFigures(
        kind=kind,
        crew_minutes=crew_minutes_sum(charge.minutes_by_people for charge in charges),
        person_minutes=sum(charge.person_minutes for charge in charges),
        loads=loads_together(load for charge in charges for load in loads_read(charge.loads)),
    )
