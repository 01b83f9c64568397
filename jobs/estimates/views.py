"""What a job's spaces make, laid out for reading: steps, figures, loads, totals; reckons nothing.

Bags of one material are added up over a job. Areas and R-values of different parts of a house
never are (16 CFR 460.17).
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext

from jobs.estimates.outcome import loads_together
from jobs.estimating import EstimatedStep, ExplainedFigure, loads_read, space_read
from jobs.models import Space, Step
from jobs.wording import hours, number, quantity_text, word

Fact = tuple[str, str]


@dataclass(frozen=True)
class FigureWords:
    """A figure as it is read: its name in words, its value with its unit, how it came about."""

    name: str
    value: str
    formula: str
    with_numbers: str
    source: str


@dataclass(frozen=True)
class SpaceWork:
    """What one space asks of a step: how much, the facts, why, and each figure's formula."""

    space: Space
    quantity: str
    facts: tuple[Fact, ...]
    because: tuple[str, ...]
    figures: tuple[FigureWords, ...]


@dataclass(frozen=True)
class EstimateStep:
    """A step of the job with its minutes by crew size, and the spaces that make it up."""

    step: Step
    works: tuple[SpaceWork, ...]
    machine_minutes: float

    @property
    def crew_hours(self) -> list[Fact]:
        """Hours on site by the number of people in the crew."""
        table = sorted(self.step.minutes_by_people.by_people.items())
        return [(str(people), hours(minutes)) for people, minutes in table]

    @property
    def pair_minutes(self) -> float:
        """Minutes of a crew of two; of one person where two make no difference."""
        return float(self.step.minutes_by_people.pair)


@dataclass(frozen=True)
class Totals:
    """Sums over a job that may be made: bags by material, hours of crew, people and machine."""

    bags: tuple[Fact, ...]
    crew_hours: str
    labour_hours: str
    machine_hours: str
    setup_hours: str


def estimate_steps(steps: Iterable[Step], spaces: Sequence[Space]) -> list[EstimateStep]:
    """Return steps in their order, each with the spaces whose estimate has that kind of step."""
    return [_step_shown(step, spaces) for step in steps]


def job_totals(steps: Sequence[EstimateStep], setup_person_minutes: int) -> Totals:
    """Return the sums of a job: bags by material, and hours for a crew of two."""
    bags: dict[str, int] = {}
    for shown in steps:
        for load in loads_read(shown.step.loads):
            if load.unit == "bags":
                bags[load.item] = bags.get(load.item, 0) + load.quantity
    persons = sum(shown.step.person_minutes for shown in steps) + setup_person_minutes
    return Totals(
        bags=tuple((word(item), quantity_text(n, "bags")) for item, n in bags.items()),
        crew_hours=hours(sum(shown.pair_minutes for shown in steps)),
        labour_hours=hours(persons),
        machine_hours=hours(sum(shown.machine_minutes for shown in steps)),
        setup_hours=hours(setup_person_minutes),
    )


def load_texts(steps: Iterable[Step]) -> list[tuple[str, str]]:
    """Return everything to put on the truck for a job, the same item of several steps added up."""
    loads = loads_together(load for step in steps for load in loads_read(step.loads))
    return [(word(load.item), quantity_text(load.quantity, load.unit)) for load in loads]


def _step_shown(step: Step, spaces: Sequence[Space]) -> EstimateStep:
    entries = list(_entries(step.kind, spaces))
    return EstimateStep(
        step=step,
        works=tuple(_space_work(space, entry) for space, entry in entries),
        machine_minutes=sum(float(entry.machine_minutes) for _, entry in entries),
    )


def _entries(kind: str, spaces: Sequence[Space]) -> Iterator[tuple[Space, EstimatedStep]]:
    """Yield what the estimates say about one kind of step, with the space that says it."""
    for space in spaces:
        for entry in space_read(space.estimate).steps:
            if entry.kind == kind:
                yield space, entry


def _space_work(space: Space, entry: EstimatedStep) -> SpaceWork:
    return SpaceWork(
        space=space,
        quantity=quantity_text(entry.quantity, entry.unit),
        facts=tuple(_facts(entry)),
        because=entry.because,
        figures=tuple(_figure(figure) for figure in entry.explain),
    )


def _facts(entry: EstimatedStep) -> Iterator[Fact]:
    """Yield what a person asks first about a step, where the estimate has it."""
    facts = entry.facts
    rows = (
        (facts.get("r"), gettext("R-value"), "R-{}"),
        (facts.get("initial_in"), gettext("Thickness when blown"), "{} in"),
        (facts.get("settled_in"), gettext("Thickness when settled"), "{} in"),
        (facts.get("lb_per_ft3"), gettext("Density"), "{} lb/ft³"),
        (facts.get("pounds"), gettext("Weight"), "{} lb"),
        (facts.get("bags"), gettext("Bags"), "{}"),
        (entry.minutes_per_bay, gettext("Minutes for each bay"), "{}"),
        (facts.get("paced_by"), gettext("Pace set by"), "{}"),
    )
    for value, label, form in rows:
        if value is not None:
            yield label, form.format(word(number(value)).replace("_", " "))


def _figure(figure: ExplainedFigure) -> FigureWords:
    """Return a figure with its name as words and its value with its unit."""
    return FigureWords(
        name=word(figure.figure.replace("_", " ")),
        value=quantity_text(figure.value, figure.unit),
        formula=figure.formula,
        with_numbers=figure.with_numbers,
        source=figure.source,
    )
