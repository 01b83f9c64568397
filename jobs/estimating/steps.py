"""Steps of the work as they are reckoned: quantities, minutes by who paces them, reasons."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import reduce
from operator import mul
from typing import Unpack

from jobs.estimating.blowing import Pace
from jobs.estimating.cautions import Doubt
from jobs.estimating.estimated import ExplainedFigure, Load, StepFacts
from jobs.estimating.exact import ceiling, plain, spoken
from jobs.estimating.reading import Rate

ATTIC_WORK = frozenset({"flat_blow", "slope_blow", "baffles", "air_seal", "removal"})


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure with the formula that gave it; `formula` names its inputs in braces."""

    figure: str
    value: Fraction
    unit: str
    formula: str
    inputs: Mapping[str, Fraction]
    source: str

    def explained(self) -> ExplainedFigure:
        """Return the figure with its formula in names and in numbers."""
        numbers = {name: spoken(value, 4) for name, value in self.inputs.items()}
        with_numbers = self.formula.format_map(numbers)
        return ExplainedFigure(
            figure=self.figure,
            value=plain(self.value),
            unit=self.unit,
            formula=self.formula.replace("{", "").replace("}", ""),
            with_numbers=f"{with_numbers} = {spoken(self.value, 4)} {self.unit}".rstrip(),
            inputs={name: plain(value) for name, value in self.inputs.items()},
            source=self.source,
        )


@dataclass(slots=True)
class StepReckoned:
    """One kind of work on one space, before people are put to it.

    `blow_minutes` are those in which material is blown, `handling_minutes` those of the hose
    between (both at the pace of one machine); `hand_minutes` are person-minutes of hand work.
    """

    kind: str
    quantity: Fraction
    unit: str
    facts: StepFacts = field(default_factory=StepFacts)
    blow_minutes: Fraction = field(default_factory=Fraction)
    handling_minutes: Fraction = field(default_factory=Fraction)
    hand_minutes: Fraction = field(default_factory=Fraction)
    loads: list[Load] = field(default_factory=list)
    because: list[str] = field(default_factory=list)
    figures: list[Figure] = field(default_factory=list)
    rates: dict[str, Rate] = field(default_factory=dict)

    def use(self, *rates: Rate) -> None:
        """Remember which rates this step rests on."""
        self.rates.update((rate.path, rate) for rate in rates)

    def figure(
        self,
        figure: str,
        value: Fraction,
        unit: str,
        formula: str,
        source: str,
        /,
        **inputs: Fraction,
    ) -> Fraction:
        """Keep a figure with its formula, and give its value back."""
        self.figures.append(Figure(figure, value, unit, formula, inputs, source))
        return value

    def product(self, figure: str, unit: str, source: str, /, **inputs: Fraction) -> Fraction:
        """Keep a figure that is the product of its inputs, and give it back."""
        value = reduce(mul, inputs.values())
        formula = " x ".join(f"{{{name}}}" for name in inputs)
        return self.figure(figure, value, unit, formula, source, **inputs)

    def fact(self, **facts: Unpack[StepFacts]) -> None:
        """State facts of the step, in the order in which the estimate's file has them."""
        self.facts.update(facts)

    def bag(self, pounds: Fraction, bag_lb: Fraction, material: str) -> int:
        """Count bags: pounds / bag weight, rounded up once over the space."""
        bags = ceiling(pounds / bag_lb)
        formula = "{pounds} / {bag_lb}, rounded up once"
        self.figure(
            "bags", Fraction(bags), "bags", formula, "the bag's label", pounds=pounds, bag_lb=bag_lb
        )
        self.fact(material=material, pounds=plain(pounds), bags=bags)
        self.loads.append(Load(material, bags, "bags"))
        return bags

    def blow(self, pace: Pace, pounds: Fraction, bag_lb: Fraction) -> None:
        """Blow so many pounds at a pace: blow minutes = pounds / rate, the slowest named."""
        self.use(*pace.rates.values())
        self.blow_minutes = self.figure(
            "machine_minutes",
            pace.minutes(pounds),
            "min",
            "{pounds} / {lb_per_hour} x 60",
            f"the slowest of {', '.join(pace.of_each)}: {pace.rates[pace.name].source}",
            pounds=pounds,
            lb_per_hour=pace.lb_per_hour,
        )
        self.fact(paced_by=pace.name, lb_per_hour=plain(pace.lb_per_hour))
        self.because += [
            *pace.reasons(bag_lb),
            f"Blowing takes {spoken(self.blow_minutes, 1)} minutes.",
        ]

    def handle(self, rate: Rate, count: Fraction, what: str) -> None:
        """Add the handling of the hose, so many minutes for each bay or cavity."""
        self.use(rate)
        self.handling_minutes = self.product(
            "handling_minutes", "min", rate.source, count=count, rate=rate.value
        )
        self.because.append(
            f"Handling the hose adds {spoken(self.handling_minutes, 1)} minutes: {spoken(count)} x"
            f" {rate.spoken()} per {what}."
        )

    def by_hand(self, rate: Rate, quantity: Fraction, what: str) -> None:
        """Add hand work: quantity x person-minutes each."""
        if not rate.value * quantity:
            return
        self.use(rate)
        name = f"{what.lower()} minutes"
        minutes = self.product(name, "person-min", rate.source, quantity=quantity, rate=rate.value)
        self.hand_minutes += minutes
        self.because.append(f"{what}: {spoken(quantity)} x {rate.spoken()} = {spoken(minutes)}.")


@dataclass(slots=True)
class SpaceReckoned:
    """What a space gives: its steps, its doubts, its markers."""

    steps: list[StepReckoned] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    markers: int | None = None
    notes: list[str] = field(default_factory=list)

    def doubt(self, *doubts: Doubt | None) -> None:
        """Add those doubts that are there."""
        self.doubts.extend(doubt for doubt in doubts if doubt is not None)
