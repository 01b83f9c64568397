"""What an estimate says of a job, as steps and warnings to keep; reads and writes no row."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from jobs.crew_minutes import CrewMinutes
from jobs.estimating import Estimate, EstimatedStep, Load, SpaceEstimate, SpaceWarning
from jobs.models import Step

BLOWER = "blower"
BLOWN_STEPS = frozenset({Step.Kind.DENSE_FILL, Step.Kind.SLOPE_BLOW, Step.Kind.FLAT_BLOW})
ORDER: tuple[str, ...] = tuple(Step.Kind.values)


@dataclass(frozen=True)
class StepFigures:
    """One step of a job: all its spaces' steps of one kind together."""

    kind: str
    crew_minutes: CrewMinutes
    person_minutes: int
    loads: tuple[Load, ...]

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
    """Return the steps of the job in the order of work; minutes are summed and rounded up once."""
    by_kind: dict[str, list[EstimatedStep]] = {}
    for step in estimate.steps:
        by_kind.setdefault(step.kind, []).append(step)
    return [_together(kind, by_kind[kind]) for kind in ORDER if kind in by_kind]


def _together(kind: str, steps: Sequence[EstimatedStep]) -> StepFigures:
    people = [n for n in steps[0].crew_minutes if all(n in s.crew_minutes for s in steps)]
    return StepFigures(
        kind=kind,
        crew_minutes=CrewMinutes(
            {n: _whole(step.crew_minutes[n] for step in steps) for n in people}
        ),
        person_minutes=_whole(step.person_minutes for step in steps),
        loads=loads_together(load for step in steps for load in step.loads),
    )


def _whole(minutes: Iterable[float]) -> int:
    """Return the sum in whole minutes, at least one; what floats add is no further minute."""
    return max(1, math.ceil(round(sum(minutes), 3)))


def loads_together(loads: Iterable[Load]) -> tuple[Load, ...]:
    """Return the loads, those of one item and unit added up, in the order of the first of each."""
    sums: dict[tuple[str, str], int] = {}
    for load in loads:
        key = (load.item, load.unit)
        sums[key] = sums.get(key, 0) + load.quantity
    return tuple(Load(item, quantity, unit) for (item, unit), quantity in sums.items())


def space_warnings(space: SpaceEstimate) -> list[Warned]:
    """Return the warnings of one space of the estimate, one for each code."""
    by_code: dict[str, list[SpaceWarning]] = {}
    for warning in space.warnings:
        by_code.setdefault(warning.code, []).append(warning)
    return [_warned(code, warnings) for code, warnings in by_code.items()]


def _warned(code: str, warnings: Sequence[SpaceWarning]) -> Warned:
    kinds = dict.fromkeys(warning.step for warning in warnings if warning.step)
    return Warned(
        code=code,
        text=" ".join(warning.text for warning in warnings)[:500],
        source=warnings[0].source[:200],
        holds=any(warning.holds for warning in warnings),
        step_kinds=tuple(kinds),
    )


def setup_person_minutes(estimate: Estimate) -> int:
    """Return set-up and clean-up of a visit, in whole person-minutes."""
    return math.ceil(estimate.setup_person_minutes)
