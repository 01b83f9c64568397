"""A plan (week-plan/1) and what a solve returns (week-outcome/1); knows neither rule nor cost."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from scheduling.planning.findings import Finding, PlainWords, finding_to_json, worded
from scheduling.planning.reading import Field, FormatError, load_json

PLAN_FORMAT = "week-plan/1"
OUTCOME_FORMAT = "week-outcome/1"

PROVEN, FEASIBLE, STOPPED, INFEASIBLE = "proven", "feasible", "stopped", "infeasible"


class PlanError(FormatError):
    """A file is not a plan; the message starts with the path of the bad field."""


@dataclass(frozen=True)
class Part:
    """Minutes of one step, done at one stop."""

    step: str
    minutes: int


@dataclass(frozen=True)
class Stop:
    """A stay at one job within a crew-day: the parts in the order in which they are done."""

    job: str
    parts: tuple[Part, ...]


@dataclass(frozen=True)
class Visit:
    """A crew-day: one crew on one day with its stops in driving order."""

    crew: str
    day: int
    stops: tuple[Stop, ...]


@dataclass(frozen=True)
class Plan:
    """The crew-days of a plan; what is not in it is left out."""

    visits: tuple[Visit, ...] = ()

    def parts(self) -> Iterator[tuple[Visit, Stop, Part]]:
        """Yield every part with its stop and its crew-day, in the order of the plan."""
        for visit in self.visits:
            for stop in visit.stops:
                for part in stop.parts:
                    yield visit, stop, part


@dataclass(frozen=True)
class Unplaced:
    """A step left out, or an entry of `fixed` that cannot be kept, with the reason."""

    step: str
    reason: Finding
    crew: str | None = None
    day: int | None = None


@dataclass(frozen=True)
class MachineUse:
    """The kinds of machine that a crew-day takes along."""

    crew: str
    day: int
    kinds: tuple[str, ...]


@dataclass(frozen=True)
class Outcome:
    """What a solve returns; `plan` is None only where `status` is infeasible.

    `cost` and `bound` are cents; `gap` = (cost - bound) / cost.
    """

    status: str
    cost: int | None
    bound: int
    seconds: float
    plan: Plan | None
    costs: Mapping[str, int] = field(default_factory=dict)
    unplaced: tuple[Unplaced, ...] = ()
    machines: tuple[MachineUse, ...] = ()

    @property
    def gap(self) -> float | None:
        """The part of the cost that is not proven to be needed; None without a plan."""
        return None if self.cost is None else relative_gap(self.cost, self.bound)


def relative_gap(cost: int, bound: int) -> float:
    """Return (cost - bound) / cost, 0 for a cost of nothing."""
    return (cost - bound) / cost if cost else 0.0


def parse_plan(data: Any) -> Plan:
    """Return the plan that decoded JSON describes. Raises PlanError naming the bad field.

    Only the shape is looked at: whether names exist and rules are kept is the judge's.
    """
    try:
        return _plan(Field(data, ""))
    except FormatError as error:
        raise PlanError(str(error)) from None


def read_plan(text: str | bytes) -> Plan:
    """Return the plan in the text of a file: a plan itself, or the plan inside an outcome."""
    try:
        data = load_json(text)
    except FormatError as error:
        raise PlanError(str(error)) from None
    if isinstance(data, dict) and data.get("format") == OUTCOME_FORMAT:
        data = data.get("plan")
    return parse_plan(data)


def plan_to_json(plan: Plan) -> dict[str, Any]:
    """Return the plan as plain values, the inverse of `parse_plan`."""
    return {"format": PLAN_FORMAT, "visits": [_visit_json(visit) for visit in plan.visits]}


def outcome_to_json(outcome: Outcome, days: Sequence[str]) -> dict[str, Any]:
    """Return the outcome as plain values; `days` are the problem's, by which reasons name them."""
    wording = PlainWords(days)
    return {
        "format": OUTCOME_FORMAT,
        "status": outcome.status,
        "cost": outcome.cost,
        "bound": outcome.bound,
        "gap": outcome.gap,
        "seconds": round(outcome.seconds, 3),
        "costs": dict(outcome.costs),
        "plan": None if outcome.plan is None else plan_to_json(outcome.plan),
        "unplaced": [_unplaced_json(entry, wording) for entry in outcome.unplaced],
        "machines": [
            {"crew": use.crew, "day": use.day, "kinds": list(use.kinds)} for use in outcome.machines
        ],
    }


def _plan(root: Field) -> Plan:
    form = root.get("format")
    if form.value != PLAN_FORMAT:
        raise form.expect(f'"{PLAN_FORMAT}"')
    return Plan(tuple(_visit(entry) for entry in root.get("visits").each()))


def _visit(entry: Field) -> Visit:
    stops = tuple(_stop(stop) for stop in entry.get("stops").each())
    return Visit(entry.get("crew").text(), entry.get("day").whole(), stops)


def _stop(entry: Field) -> Stop:
    parts = tuple(
        Part(part.get("step").text(), part.get("minutes").whole(1))
        for part in entry.get("parts").each()
    )
    return Stop(entry.get("job").text(), parts)


def _visit_json(visit: Visit) -> dict[str, Any]:
    return {
        "crew": visit.crew,
        "day": visit.day,
        "stops": [
            {
                "job": stop.job,
                "parts": [{"step": part.step, "minutes": part.minutes} for part in stop.parts],
            }
            for stop in visit.stops
        ],
    }


def _unplaced_json(entry: Unplaced, wording: PlainWords) -> dict[str, Any]:
    data: dict[str, Any] = {"step": entry.step, "reason": worded(entry.reason, wording)}
    data |= finding_to_json(entry.reason)
    if entry.crew is not None:
        data |= {"crew": entry.crew, "day": entry.day}
    return data
