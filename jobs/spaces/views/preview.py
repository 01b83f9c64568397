"""What a previewed space makes, laid out for reading beside its form; reckons nothing."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from jobs.conditions.words import STEP_NAMES
from jobs.desk.views.refusal import state_line
from jobs.estimating import (
    EDITIONS,
    Assumed,
    EstimatedStep,
    ExplainedFigure,
    SpaceEstimate,
    SpaceWarning,
    ceiling_without_attic,
    code_target,
    raised_heel_r,
)
from jobs.spaces.preview import Preview, PreviewReady
from jobs.wording import hours, number, quantity_text, word

Fact = tuple[str, str]
CEILING, WALL = "ceiling", "wall"


@dataclass(frozen=True)
class FigurePresenter:
    """One figure that opens to its formula, the formula with numbers, inputs and source."""

    name: str
    value: str
    formula: str
    with_numbers: str
    inputs: tuple[Fact, ...]
    source: str


@dataclass(frozen=True)
class PreviewStep:
    """A step of this space: its hours by people, its figures, and why."""

    name: str
    quantity: str
    crew_hours: tuple[Fact, ...]
    figures: tuple[FigurePresenter, ...]
    because: tuple[str, ...]
    source_of_spread: str


@dataclass(frozen=True)
class Headline:
    """What is read off first, with a word beside it."""

    label: str
    value: str
    beside: str = ""


@dataclass(frozen=True)
class Result:
    """Everything that stands on the right of the form."""

    headline: tuple[Headline, ...]
    steps: tuple[PreviewStep, ...]
    loads: tuple[Fact, ...]
    warnings: tuple[SpaceWarning, ...]
    notes: tuple[str, ...]
    assumed: tuple[str, ...]


def result_of(preview: Preview) -> Result:
    """Return the preview in words, numbers rounded as people read them."""
    estimate = preview.estimate
    steps = estimate.steps
    return Result(
        headline=tuple(_headline(steps, estimate)),
        steps=tuple(_step(step) for step in steps),
        loads=tuple(
            (word(load.item), quantity_text(load.quantity, load.unit))
            for step in steps
            for load in step.loads
        ),
        warnings=estimate.warnings,
        notes=estimate.notes,
        assumed=tuple(_assumption(one) for one in preview.assumed),
    )


def _headline(steps: Sequence[EstimatedStep], estimate: SpaceEstimate) -> Iterable[Headline]:
    """Return what to load, R, hours."""
    for step in steps:
        for load in step.loads:
            if load.unit in ("bags", "packages", "cans"):
                yield Headline(word(load.item), quantity_text(load.quantity, load.unit))
    for step in steps:
        r = step.facts.get("r")
        if r:
            yield Headline(gettext("R-value"), f"R-{number(r)}")
    if steps:
        yield from _hours(steps)
    if estimate.markers is not None:
        yield Headline(gettext("Depth markers"), str(estimate.markers))


def _hours(steps: Sequence[EstimatedStep]) -> Iterable[Headline]:
    """Return the hours by the half; the 80 % values of the steps of one job add."""
    half = sum(step.minutes_50 for step in steps)
    most = hours(sum(step.minutes_80 for step in steps))
    machine = sum(step.machine_minutes for step in steps)
    label = gettext("Crew-hours of %(n)s people") % {"n": max(step.people for step in steps)}
    beside = gettext("in four of five cases at most %(most)s") % {"most": most}
    yield Headline(label, hours(half), beside)
    yield Headline(gettext("Labour-hours"), hours(sum(step.person_minutes for step in steps)))
    if machine:
        yield Headline(gettext("Machine-hours"), hours(machine))


def _step(step: EstimatedStep) -> PreviewStep:
    minutes = sorted(step.crew_minutes.items())
    return PreviewStep(
        name=word(STEP_NAMES.get(step.kind, step.kind)),
        quantity=quantity_text(step.quantity, step.unit),
        crew_hours=tuple((str(people), hours(value)) for people, value in minutes),
        figures=tuple(_figure(one) for one in step.explain),
        because=step.because,
        source_of_spread=step.sigma_source,
    )


# Figures that a person knows by another name than the file's.
_FIGURES = {
    "volume_ft3": marked("volume"),
    "pounds": marked("weight"),
    "machine_minutes": marked("blowing"),
    "handling_minutes": marked("handling the hose"),
    "crew_minutes": marked("crew on site"),
    "minutes_80": marked("in four of five cases at most"),
    "batt_ft": marked("length of batt"),
    "foam_cans": marked("cans of foam"),
}


def _figure(one: ExplainedFigure) -> FigurePresenter:
    return FigurePresenter(
        name=word(_FIGURES.get(one.figure) or _spoken(one.figure)),
        value=quantity_text(one.value, one.unit),
        formula=one.formula,
        with_numbers=one.with_numbers,
        inputs=tuple((_spoken(name), number(value, 4)) for name, value in one.inputs.items()),
        source=one.source,
    )


@dataclass(frozen=True)
class ReadyPresenter:
    """A condition with its line, and whether this space brings it into the job."""

    one: PreviewReady
    line: str
    is_new: bool


@dataclass(frozen=True)
class GatePresenter:
    """What must be ready of one gate: stop, law, block, warn."""

    gate: str
    ready: tuple[ReadyPresenter, ...]


def gate_presenters(
    ready: Iterable[PreviewReady], *, first_space: bool
) -> tuple[GatePresenter, ...]:
    """Return what must be ready before the work, by gate; what only finishes a job is left out.

    first_space: a job without spaces has no conditions yet, so that each would count as new.
    """
    by_gate: dict[str, list[ReadyPresenter]] = {}
    for one in ready:
        if one.needed.gate != "close":
            shown = ReadyPresenter(one, state_line(one.state), one.row is None and not first_space)
            by_gate.setdefault(one.needed.gate, []).append(shown)
    return tuple(GatePresenter(gate, tuple(shown)) for gate, shown in by_gate.items())


_UNITS_IN_NAMES = (
    (" lb per ft3", ", lb/ft³"),
    (" lb per ft2", ", lb/ft²"),
    (" lb per hour", ", lb/h"),
    (" ft3", ", ft³"),
    (" ft2", ", ft²"),
    (" ft", ", ft"),
    (" in", ", in"),
    (" lb", ", lb"),
)


def _spoken(name: str) -> str:
    """Return a name of the file as words, its unit after a comma: `fill_in` is `fill, in`."""
    words = name.replace("_", " ")
    if words == "lb per ft3":
        return "lb/ft³"
    for ending, unit in _UNITS_IN_NAMES:
        if words.endswith(ending):
            return words.removesuffix(ending) + unit
    return words


def _assumption(one: Assumed) -> str:
    """Return a default that was taken, with its source."""
    name = _spoken(one.path.removeprefix("spaces[0].").rsplit(".", 1)[-1])
    value = number(one.value, 4)
    return f"{name}: {value} {one.unit} ({one.source})".replace("  ", " ")


def suggestion_texts(
    code: dict[str, Any] | None, about: str, preview: Preview | None
) -> tuple[str, ...]:
    """Return what the code's table suggests for ceiling or wall, with exceptions; the code rules.

    code: `edition`, `zone`, `marine`, `total_ceiling_ft2`, as a space keeps them.
    """
    if not code or not about:
        return ()
    edition, zone = int(code["edition"]), int(code["zone"])
    target = code_target(edition, zone, marine=bool(code.get("marine")))
    found = [target.sentence()]
    if about == WALL:
        return tuple(found)
    lower = raised_heel_r(target.ceiling_r, edition)
    if lower is not None:
        words = gettext(
            "Raised heel: where R-%(lower)s lies at its full height over the wall plate it is"
            " accepted for R-%(full)s (R402.2.1)."
        )
        found.append(words % {"lower": lower, "full": target.ceiling_r})
    slope_ft2 = _slope_ft2(preview)
    if slope_ft2:
        found.append(_without_attic(slope_ft2, code, edition, target.ceiling_r))
    return tuple(found)


def _without_attic(slope_ft2: Fraction, code: dict[str, Any], edition: int, full_r: int) -> str:
    """Return the exception for a ceiling that has no attic over it, in this space's numbers."""
    total = code.get("total_ceiling_ft2")
    if not total and EDITIONS[edition].share is not None:
        words = gettext(
            "Ceiling without an attic: where there is no room for R-%(full)s, R-30 may serve 500"
            " ft² and no more than 20 %% of the insulated ceiling (R402.2.2; 20 %% from memory)."
            " Give the whole insulated ceiling to see how much of this slope that is."
        )
        return words % {"full": full_r}
    part = ceiling_without_attic(slope_ft2, Fraction(str(total or slope_ft2)), edition)
    words = gettext(
        "Ceiling without an attic: where there is no room for R-%(full)s, R-30 may serve"
        " %(covered)s of the %(slope)s ft² of slope; the other %(rest)s ft² need R-%(full)s"
        " (%(source)s). Not on the U-factor path."
    )
    return words % {
        "full": full_r,
        "covered": number(float(part.covered_ft2), 0),
        "slope": number(float(slope_ft2), 0),
        "rest": number(float(part.full_ft2), 0),
        "source": part.source,
    }


def _slope_ft2(preview: Preview | None) -> Fraction | None:
    """Return the area of slope bays = spacing x length of all bays; None for other spaces."""
    if preview is None or preview.space.kind != "slope_bays":
        return None
    step = next(step for step in preview.estimate.steps if step.kind == "slope_blow")
    length_ft = Fraction(str(step.facts["length_ft"])) * Fraction(str(step.quantity))
    spacing_in = Fraction(str(preview.space.spacing_in or 16))
    return spacing_in / 12 * length_ft
