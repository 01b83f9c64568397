"""An estimate as it is passed on: frozen, in plain numbers; knows no formula and no file."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TypedDict

from jobs.estimating.exact import Plain


@dataclass(frozen=True, slots=True)
class Load:
    """Something to put on the truck."""

    item: str
    quantity: int
    unit: str


@dataclass(frozen=True, slots=True)
class ExplainedFigure:
    """One figure with its formula in names and in numbers, what went in, and its source."""

    figure: str
    value: Plain
    unit: str
    formula: str
    with_numbers: str
    inputs: Mapping[str, Plain]
    source: str


class BayLength(TypedDict):
    """Bays of one length: how many, and what one of them takes."""

    bays: Plain
    length_ft: Plain
    volume_ft3: Plain
    minutes: Plain


class StepFacts(TypedDict, total=False):
    """What is stated of a step by its kind; each kind has some of them, in an order of its own.

    r is None where no chart has a row for the cavity, a depth where the chart has no column for it.
    """

    material: str
    fill: str
    paced_by: str
    pounds: Plain
    bags: int
    r: Plain | None
    initial_in: Plain | None
    settled_in: Plain | None
    lb_per_ft2: Plain
    lb_per_ft3: Plain
    lb_per_hour: Plain
    volume_ft3: Plain
    fill_in: Plain
    dam_in: Plain
    clear_width_in: Plain
    length_ft: Plain
    pounds_per_bay: Plain
    bags_per_bay: Plain
    bays_by_length: list[BayLength]
    thickness_in: Plain
    width_in: Plain
    batt_ft: Plain
    packages: int
    pieces: int
    foam_board_ft: Plain
    foam_cans: int
    debris_yd3: Plain


@dataclass(frozen=True, slots=True)
class EstimatedStep:
    """One kind of work on one space, with its minutes, loads and reasons.

    crew_minutes: by the number of people on the crew; people: of the crew that the 50 % and 80 %
    minutes are of.
    """

    kind: str
    quantity: Plain
    unit: str
    facts: StepFacts
    machine_minutes: Plain
    people: int
    crew_minutes: Mapping[int, Plain]
    person_minutes: Plain
    minutes_50: Plain
    minutes_80: float
    sigma: float
    sigma_source: str
    loads: tuple[Load, ...]
    because: tuple[str, ...]
    explain: tuple[ExplainedFigure, ...]
    minutes_per_bay: Plain | None
    visit: str


@dataclass(frozen=True, slots=True)
class SpaceWarning:
    """A doubt about a space; one that holds stops its step until somebody answers for it.

    step: the kind of step that the doubt is about; None where the space has none.
    """

    code: str
    text: str
    source: str
    holds: bool
    step: str | None


@dataclass(frozen=True, slots=True)
class SpaceEstimate:
    """What one space needs: its steps in the order of work, its warnings and notes."""

    id: str
    kind: str
    warnings: tuple[SpaceWarning, ...]
    steps: tuple[EstimatedStep, ...]
    notes: tuple[str, ...]
    markers: int | None

    @property
    def holds(self) -> bool:
        """Whether any of its warnings holds."""
        return any(warning.holds for warning in self.warnings)


@dataclass(frozen=True, slots=True)
class VisitEstimate:
    """One coming to the house: set-up, work and the drive."""

    name: str
    setup_person_minutes: Plain
    person_minutes: Plain
    drive_minutes: Plain


@dataclass(frozen=True, slots=True)
class HeatEstimate:
    """How hot the attic gets, and whether work there starts at first light."""

    attic_f: Plain
    start_early: bool
    source: str


@dataclass(frozen=True, slots=True)
class Assumed:
    """A default that stands where the takeoff is silent: a number, or the name of a material."""

    path: str
    value: Plain | str
    unit: str
    source: str


@dataclass(frozen=True, slots=True)
class EstimateTotals:
    """Sums over all spaces; set-up is in person_minutes, the drive in what is paid too."""

    bags: Mapping[str, int]
    work_person_minutes: Plain
    person_minutes: Plain
    machine_minutes: Plain
    crew_minutes_50: Plain
    crew_minutes_80: float
    drive_person_minutes: Plain
    paid_person_minutes: Plain


@dataclass(frozen=True, slots=True)
class Estimate:
    """The whole estimate of a takeoff.

    setup_person_minutes: of the main visit, or the only one. not_used: fields of the takeoff that
    nobody asked for.
    """

    spaces: tuple[SpaceEstimate, ...]
    setup_person_minutes: Plain
    visits: tuple[VisitEstimate, ...]
    heat: HeatEstimate | None
    loads: tuple[Load, ...]
    totals: EstimateTotals
    assumed: tuple[Assumed, ...]
    not_used: tuple[str, ...]

    @property
    def steps(self) -> Iterator[EstimatedStep]:
        """The steps of all spaces."""
        return (step for space in self.spaces for step in space.steps)
