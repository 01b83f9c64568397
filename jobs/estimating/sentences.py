"""An estimate as sentences for people; reads the estimate and nothing else."""

from collections.abc import Iterator

from jobs.estimating.estimated import Estimate, SpaceEstimate


def sentences(estimate: Estimate) -> list[str]:
    """Return the lines of an estimate: each space, its steps with their reasons, loads, totals."""
    lines = [line for space in estimate.spaces for line in _space(space)]
    return [*lines, *_loads(estimate), *_totals(estimate), *_silent(estimate)]


def _space(space: SpaceEstimate) -> Iterator[str]:
    yield f"{space.id} ({space.kind.replace('_', ' ')})"
    for warning in space.warnings:
        holds = ", holds the step until somebody answers for it" if warning.holds else ""
        yield f"  Warning{holds}: {warning.text} [{warning.source}]"
    for step in space.steps:
        yield f"  {step.kind.replace('_', ' ')}: {step.quantity:,} {step.unit}"
        yield from (f"    {reason}" for reason in step.because)
        yield from (f"    {entry.figure}: {entry.with_numbers}" for entry in step.explain)


def _loads(estimate: Estimate) -> Iterator[str]:
    items = [f"{load.item} {load.quantity:,} {load.unit}" for load in estimate.loads]
    if items:
        yield f"Load: {', '.join(items)}."


def _totals(estimate: Estimate) -> Iterator[str]:
    totals = estimate.totals
    for visit in estimate.visits:
        yield (
            f"Visit {visit.name}: {visit.person_minutes / 60:.1f} labour-hours of work and"
            f" {visit.setup_person_minutes / 60:.1f} of set-up and clean-up."
        )
    yield (
        f"In all {totals.person_minutes / 60:.1f} labour-hours,"
        f" {totals.machine_minutes / 60:.1f} machine-hours; work on site"
        f" {totals.crew_minutes_50 / 60:.1f} crew-hours, in four of five cases at most"
        f" {totals.crew_minutes_80 / 60:.1f}."
    )


def _silent(estimate: Estimate) -> Iterator[str]:
    for entry in estimate.assumed:
        yield f"Default: {entry.path} = {entry.value} {entry.unit} ({entry.source})."
    for name in estimate.not_used:
        yield f"Not used, because it is not known: {name}."
