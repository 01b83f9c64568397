"""An estimate as JSON: the one place that writes `estimate/1` and reads it back; no formula."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict
from typing import Any, cast

from jobs.estimating.estimated import (
    Estimate,
    EstimatedStep,
    ExplainedFigure,
    Load,
    SpaceEstimate,
    SpaceWarning,
    StepFacts,
)
from jobs.estimating.taken_over import Reckoned

FORMAT = "estimate/1"
Json = dict[str, object]
Kept = Mapping[str, Any]


def estimate_file(estimate: Estimate) -> Json:
    """Return the estimate as plain JSON values, in the order of the format."""
    heat = {"heat": asdict(estimate.heat)} if estimate.heat else {}
    return {
        "format": FORMAT,
        "spaces": [space_file(space) for space in estimate.spaces],
        "visit": {"setup_person_minutes": estimate.setup_person_minutes},
        "visits": [asdict(visit) for visit in estimate.visits],
        **heat,
        "loads": loads_file(estimate.loads),
        "totals": asdict(estimate.totals),
        "assumed": [asdict(entry) for entry in estimate.assumed],
        "not_used": list(estimate.not_used),
    }


def space_file(space: SpaceEstimate) -> Json:
    """Return one space of the file."""
    markers = {} if space.markers is None else {"markers": space.markers}
    return {
        "id": space.id,
        "kind": space.kind,
        "warnings": [asdict(warning) for warning in space.warnings],
        "holds": space.holds,
        "steps": [_step_file(step) for step in space.steps],
        "notes": list(space.notes),
        **markers,
    }


def kept_file(estimate: Estimate, index: int) -> Json:
    """Return what is kept with a space: its part of the file and the defaults taken for it."""
    path = f"spaces[{index}]"
    taken = [asdict(entry) for entry in estimate.assumed if entry.path.startswith(path)]
    return {**space_file(estimate.spaces[index]), "assumed": taken}


def _step_file(step: EstimatedStep) -> Json:
    per_bay = {} if step.minutes_per_bay is None else {"minutes_per_bay": step.minutes_per_bay}
    return {
        "kind": step.kind,
        "quantity": step.quantity,
        "unit": step.unit,
        **step.facts,
        "machine_minutes": step.machine_minutes,
        "people": step.people,
        "crew_minutes": {str(people): minutes for people, minutes in step.crew_minutes.items()},
        "person_minutes": step.person_minutes,
        "minutes_50": step.minutes_50,
        "minutes_80": step.minutes_80,
        "sigma": step.sigma,
        "sigma_source": step.sigma_source,
        "loads": loads_file(step.loads),
        "because": list(step.because),
        "explain": [_figure_file(figure) for figure in step.explain],
        **per_bay,
        "visit": step.visit,
    }


def figures_file(figures: Iterable[ExplainedFigure | Reckoned]) -> list[Json]:
    """Return every figure of work taken over, as its charge keeps them."""
    return [_figure_file(figure) for figure in figures]


def figures_read(kept: Iterable[Kept]) -> tuple[ExplainedFigure, ...]:
    """Return the figures that a charge keeps."""
    return tuple(_figure_read(entry) for entry in kept)


def _figure_file(figure: ExplainedFigure | Reckoned) -> Json:
    """Return one figure of the file, or of work taken over."""
    return asdict(figure)


def loads_file(loads: Iterable[Load]) -> list[Json]:
    """Return the loads as the file has them, and as the rows of steps and charges keep them."""
    return [asdict(load) for load in loads]


# Reading back. What was kept may be of an earlier day and say less; a gap is read as nothing.


def space_read(kept: Kept) -> SpaceEstimate:
    """Return what is kept with a space; an empty estimate where it has none yet."""
    return SpaceEstimate(
        id=kept.get("id", ""),
        kind=kept.get("kind", ""),
        warnings=tuple(_warning_read(entry) for entry in kept.get("warnings", ())),
        steps=tuple(_step_read(entry) for entry in kept.get("steps", ())),
        notes=tuple(kept.get("notes", ())),
        markers=kept.get("markers"),
    )


def loads_read(kept: Iterable[Kept]) -> tuple[Load, ...]:
    """Return the loads that a step or a charge keeps."""
    return tuple(
        Load(entry["item"], int(entry["quantity"]), entry.get("unit", "")) for entry in kept
    )


def _warning_read(entry: Kept) -> SpaceWarning:
    return SpaceWarning(
        code=entry["code"],
        text=entry.get("text", ""),
        source=entry.get("source", ""),
        holds=entry.get("holds", False),
        step=entry.get("step"),
    )


def _step_read(entry: Kept) -> EstimatedStep:
    minutes = entry.get("crew_minutes", {})
    return EstimatedStep(
        kind=entry.get("kind", ""),
        quantity=entry.get("quantity") or 0,
        unit=entry.get("unit", ""),
        facts=_facts_read(entry),
        machine_minutes=entry.get("machine_minutes") or 0,
        people=entry.get("people", 0),
        crew_minutes={int(people): value for people, value in minutes.items()},
        person_minutes=entry.get("person_minutes", 0),
        minutes_50=entry.get("minutes_50", 0),
        minutes_80=entry.get("minutes_80", 0.0),
        sigma=entry.get("sigma", 0.0),
        sigma_source=entry.get("sigma_source", ""),
        loads=loads_read(entry.get("loads", ())),
        because=tuple(entry.get("because", ())),
        explain=tuple(_figure_read(figure) for figure in entry.get("explain", ())),
        minutes_per_bay=entry.get("minutes_per_bay"),
        visit=entry.get("visit", ""),
    )


def _facts_read(entry: Kept) -> StepFacts:
    known = StepFacts.__annotations__
    # The names are those of StepFacts; that their values are too is the file's own promise.
    return cast(StepFacts, {name: value for name, value in entry.items() if name in known})


def _figure_read(entry: Kept) -> ExplainedFigure:
    return ExplainedFigure(
        figure=entry.get("figure", ""),
        value=entry.get("value") or 0,
        unit=entry.get("unit", ""),
        formula=entry.get("formula", ""),
        with_numbers=entry.get("with_numbers", ""),
        inputs=entry.get("inputs", {}),
        source=entry.get("source", ""),
    )
