"""Finished steps held against what the rates say with nothing learned; writes nothing."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet

from contractor.models import Branch, Machine
from jobs.estimates.branch_rates import BLOWN, BranchRates, step_materials
from jobs.estimates.takeoff import MATERIAL_ROWS, takeoff_of, usual_machine
from jobs.estimating import Load, TakeoffError, estimate_takeoff
from jobs.models import Actual, Space
from jobs.rates.finished import Record

# The newest finished steps teach the rates; older ones were done by other people and machines.
MOST_RECORDS = 500


@dataclass(frozen=True)
class ActualReport:
    """What an estimate says of one kind of step: minutes for so many people, and bags."""

    minutes: float
    bags: int


def kind_report(
    spaces: Sequence[Space], *, kind: str, machine: Machine | None, people: int, rates: BranchRates
) -> ActualReport | None:
    """Return what the rates say of a kind of step; None where the spaces have no such step.

    A blow by one person counts as one by two. Raises TakeoffError.
    """
    takeoff = {**takeoff_of(spaces, machine, rates), "people": people}
    of_kind = [step for step in estimate_takeoff(takeoff).steps if step.kind == kind]
    if not of_kind:
        return None
    return ActualReport(
        minutes=sum(float(step.minutes_50) for step in of_kind),
        bags=bags_in(load for step in of_kind for load in step.loads) or 0,
    )


def active_actuals(branch: Branch) -> QuerySet[Actual]:
    """Return what holds of a branch's finished steps, newest first, with all asked of it."""
    spaces = Space.objects.select_related("material").prefetch_related(*MATERIAL_ROWS)
    return (
        Actual.objects.active()
        .of_branch(branch)
        .select_related("step__job__site", "crew", "machine", "entered_by")
        .prefetch_related(Prefetch("step__job__spaces", spaces))
        .order_by("-worked_on", "-pk")
    )


def records_of(branch: Branch, rates: BranchRates) -> tuple[list[Record], int]:
    """Return the newest finished steps as records, and how many could not be held against anything.

    rates: the branch's; what they learned earlier is left out.
    """
    bare, usual = rates.bare(), usual_machine(branch)
    actuals = active_actuals(branch)[:MOST_RECORDS]
    records = [_record(actual, bare, usual) for actual in actuals]
    found = [record for record in records if record is not None]
    return found, len(records) - len(found)


def _record(actual: Actual, bare: BranchRates, usual: Machine | None) -> Record | None:
    spaces, kind = list(actual.step.job.spaces.all()), actual.step.kind
    machine = actual.machine or usual
    try:
        said = kind_report(spaces, kind=kind, machine=machine, people=actual.people, rates=bare)
    except TakeoffError:
        return None
    if said is None or not said.minutes:
        return None
    counted = actual.bags is not None and actual.bags > 0 and said.bags > 0
    return Record(
        kind=kind,
        material=step_materials(spaces).get(kind, ""),
        machine=actual.machine.name if actual.machine and kind in BLOWN else "",
        crew_id=actual.crew_id,
        ratio=actual.minutes / said.minutes,
        bags_ratio=(actual.bags or 0) / said.bags if counted else None,
    )


def bags_in(loads: Iterable[Load]) -> int | None:
    """Return the bags on a step's load list; None where it takes none."""
    bags = [load.quantity for load in loads if load.unit == "bags"]
    return sum(bags) if bags else None
