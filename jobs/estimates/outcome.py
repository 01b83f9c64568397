"""What an estimate says of a job, as steps and warnings to keep; reads and writes no row."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from jobs.models import Step

BLOWER = "blower"
BLOWN_STEPS = frozenset({Step.Kind.DENSE_FILL, Step.Kind.SLOPE_BLOW, Step.Kind.FLAT_BLOW})
ORDER: tuple[str, ...] = tuple(Step.Kind.values)

Estimate = Mapping[str, Any]


@dataclass(frozen=True)
class StepFigures:
    """One step of a job: all its spaces' steps of one kind together."""

    kind: str
    crew_minutes: dict[str, int]
    person_minutes: int
    loads: list[dict[str, Any]]

    @property
    def machine_kind(self) -> str:
        """The kind of machine that it takes, "" for hand work."""
        return BLOWER if self.kind in BLOWN_STEPS else ""


@dataclass(frozen=True)
class Warned:
    """A warning about one space; several of one code are one."""

    code: str
    text: str
    source: str
    holds: bool
    step_kinds: tuple[str, ...]


def job_steps(estimate: Estimate) -> list[StepFigures]:
    """The steps of the job in the order of work; minutes are summed and rounded up once."""
    by_kind: dict[str, list[Estimate]] = {}
    for space in estimate["spaces"]:
        for step in space["steps"]:
            by_kind.setdefault(step["kind"], []).append(step)
    return [_together(kind, by_kind[kind]) for kind in ORDER if kind in by_kind]


def _together(kind: str, steps: Sequence[Estimate]) -> StepFigures:
    people = [n for n in steps[0]["crew_minutes"] if all(n in s["crew_minutes"] for s in steps)]
    return StepFigures(
        kind=kind,
        crew_minutes={n: _whole(step["crew_minutes"][n] for step in steps) for n in people},
        person_minutes=_whole(step["person_minutes"] for step in steps),
        loads=_loads(load for step in steps for load in step["loads"]),
    )


def _whole(minutes: Iterable[float]) -> int:
    """The sum in whole minutes, at least one; what floats add is no further minute."""
    return max(1, math.ceil(round(sum(minutes), 3)))


def _loads(loads: Iterable[Mapping[str, Any]]) -> list[dict[str, Any]]:
    sums: dict[tuple[str, str], int] = {}
    for load in loads:
        key = (str(load["item"]), str(load["unit"]))
        sums[key] = sums.get(key, 0) + load["quantity"]
    return [{"item": item, "quantity": sums[item, unit], "unit": unit} for item, unit in sums]


def space_warnings(space: Estimate) -> list[Warned]:
    """The warnings of one space of the estimate, one for each code."""
    by_code: dict[str, list[Mapping[str, Any]]] = {}
    for warning in space["warnings"]:
        by_code.setdefault(warning["code"], []).append(warning)
    return [_warned(code, warnings) for code, warnings in by_code.items()]


def _warned(code: str, warnings: Sequence[Mapping[str, Any]]) -> Warned:
    kinds = dict.fromkeys(str(w["step"]) for w in warnings if w.get("step"))
    return Warned(
        code=code,
        text=" ".join(str(warning["text"]) for warning in warnings)[:500],
        source=str(warnings[0].get("source", ""))[:200],
        holds=any(warning["holds"] for warning in warnings),
        step_kinds=tuple(kinds),
    )


def space_estimate(estimate: Estimate, index: int) -> dict[str, Any]:
    """What is kept with a space: its part of the estimate and the defaults taken for it."""
    path = f"spaces[{index}]"
    return {
        **estimate["spaces"][index],
        "assumed": [entry for entry in estimate["assumed"] if str(entry["path"]).startswith(path)],
    }


def setup_person_minutes(estimate: Estimate) -> int:
    """Set-up and clean-up of a visit, in whole person-minutes."""
    return math.ceil(float(estimate["visit"]["setup_person_minutes"]))
