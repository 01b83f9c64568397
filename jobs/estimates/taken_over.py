"""The estimate of work taken over, at the branch's rates, as a charge and a step keep it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from jobs.estimates.branch_rates import BranchRates, rates_into
from jobs.estimates.outcome import StepFigures, job_steps
from jobs.estimating import estimate_takeoff
from jobs.estimating.taken_over import Taken, taken_check, taken_cover, taken_takeoff
from jobs.models import BackCharge

COVER_ITEMS = {
    "rigid_cover": "rigid cover",
    "sheet_metal": "sheet metal",
    "fastenings": "fastenings",
}


@dataclass(frozen=True)
class TakenEstimate:
    """Minutes, what to load and every figure with its source."""

    crew_minutes: dict[str, int]
    person_minutes: int
    loads: list[dict[str, Any]]
    figures: list[dict[str, Any]]


def taken_estimate(taken: Taken, rates: BranchRates) -> TakenEstimate:
    """Estimate the work; raises MeasureError for what cannot be, TakeoffError for bad rates."""
    taken_check(taken)
    takeoff = taken_takeoff(taken)
    rates_into(takeoff, rates, (), None)
    estimate: Mapping[str, Any] = estimate_takeoff(takeoff)
    (step,) = job_steps(estimate)
    cover = taken_cover(taken)
    loads = [
        {"item": COVER_ITEMS[one.figure], "quantity": one.value, "unit": one.unit} for one in cover
    ]
    explained = [figure for entry in estimate["spaces"] for figure in entry["steps"][0]["explain"]]
    return TakenEstimate(
        step.crew_minutes,
        step.person_minutes,
        [*loads, *step.loads],
        [*(one.as_dict() for one in cover), *explained],
    )


def figures_of(charges: Iterable[BackCharge]) -> list[StepFigures]:
    """The steps that these charges make, those of one kind as one step."""
    by_kind: dict[str, list[BackCharge]] = {}
    for charge in charges:
        by_kind.setdefault(charge.step_kind, []).append(charge)
    return [_figures(kind, charges) for kind, charges in by_kind.items()]


def _figures(kind: str, charges: list[BackCharge]) -> StepFigures:
    people = [n for n in charges[0].crew_minutes if all(n in c.crew_minutes for c in charges)]
    sums: dict[tuple[str, str], int] = {}
    for load in (load for charge in charges for load in charge.loads):
        key = (load["item"], load["unit"])
        sums[key] = sums.get(key, 0) + load["quantity"]
    return StepFigures(
        kind=kind,
        crew_minutes={n: sum(charge.crew_minutes[n] for charge in charges) for n in people},
        person_minutes=sum(charge.person_minutes for charge in charges),
        loads=[{"item": i, "quantity": n, "unit": unit} for (i, unit), n in sums.items()],
    )
