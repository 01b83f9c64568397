"""Minutes of people: a step's table by crew size, person-minutes, 50 % and 80 % values."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from jobs.estimating.blowing import LEAST_ON_A_BLOW
from jobs.estimating.defaults import SPANS
from jobs.estimating.estimated import EstimatedStep, Load
from jobs.estimating.exact import Plain, ceiling, plain, spoken
from jobs.estimating.heat import Heat
from jobs.estimating.learning import Learned, prior_sigma, share_80
from jobs.estimating.means import Means, hand_divisor
from jobs.estimating.steps import ATTIC_WORK, Figure, StepReckoned

MOST_IN_TABLE = 4


def crew_minutes(step: StepReckoned, people: int, loss: Fraction) -> Fraction:
    """Return a crew's minutes on site: machine-paced minutes + hand work / `people` with loss.

    The machine's pace does not rise with a third person. Hand work divides by
    people x (1 - loss x (people - 2)).
    """
    paced = step.blow_minutes + step.handling_minutes
    return paced + step.hand_minutes / hand_divisor(people, loss)


def person_minutes(step: StepReckoned, people: int) -> Fraction:
    """Return blow and handling minutes x people on the blow (two at least) + the hand work."""
    paced = step.blow_minutes + step.handling_minutes
    return paced * max(people, LEAST_ON_A_BLOW) + step.hand_minutes


@dataclass(frozen=True, slots=True)
class Minutes:
    """The minutes of one step: of each size of crew, of all persons, of the machine."""

    people: int
    by_crew: Mapping[int, Fraction]
    persons: Fraction
    machine: Fraction
    factor: Fraction
    sigma: float
    sigma_source: str

    @property
    def half(self) -> Fraction:
        """The 50 % value, for the crew of the takeoff."""
        return self.by_crew[self.people]

    @property
    def most(self) -> float:
        """The 80 % value of the same: 50 % x exp(0.8416 x sigma)."""
        return float(self.half) * share_80(self.sigma)


def minutes_of(step: StepReckoned, means: Means, heat: Heat | None) -> Minutes:
    """Return all minutes of a step, with what was learned and the rests of a hot day."""
    blows = bool(step.blow_minutes)
    people = max(means.people, LEAST_ON_A_BLOW) if blows else means.people
    if step.hand_minutes:
        step.use(means.loss)
    learned = means.learned.get(step.kind) or Learned(1.0, prior_sigma(step.kind), 0)
    factor = Fraction(repr(learned.factor))
    sizes = range(LEAST_ON_A_BLOW if blows else 1, max(MOST_IN_TABLE, people) + 1)
    work = {size: factor * crew_minutes(step, size, means.loss.value) for size in sizes}
    hot = heat if step.kind in ATTIC_WORK else None
    rests = {size: hot.rest_minutes(work[size]) if hot else Fraction(0) for size in sizes}
    return Minutes(
        people=people,
        by_crew={size: work[size] + rests[size] for size in sizes},
        persons=factor * person_minutes(step, people) + people * rests[people],
        machine=factor * step.blow_minutes,
        factor=factor,
        sigma=learned.sigma,
        sigma_source=learned.source or f"prior from the span of {SPANS[step.kind][2]}",
    )


def priced(
    step: StepReckoned, means: Means, heat: Heat | None, visit: str
) -> tuple[EstimatedStep, Minutes]:
    """Return the step as the estimate passes it on, and its minutes exactly."""
    minutes = minutes_of(step, means, heat)
    figures = (*step.figures, _crew_figure(step, minutes, means), _most_figure(minutes))
    estimated = EstimatedStep(
        kind=step.kind,
        quantity=plain(step.quantity),
        unit=step.unit,
        facts=step.facts,
        machine_minutes=plain(minutes.machine),
        people=minutes.people,
        crew_minutes={size: plain(value) for size, value in minutes.by_crew.items()},
        person_minutes=plain(minutes.persons),
        minutes_50=plain(minutes.half),
        minutes_80=round(minutes.most, 4),
        sigma=round(minutes.sigma, 4),
        sigma_source=minutes.sigma_source,
        loads=tuple(loads_of(step, means)),
        because=(*step.because, *_spoken(step, minutes, means)),
        explain=tuple(figure.explained() for figure in figures),
        minutes_per_bay=_minutes_per_bay(step, minutes),
        visit=visit,
    )
    return estimated, minutes


def _minutes_per_bay(step: StepReckoned, minutes: Minutes) -> Plain | None:
    if step.unit != "bays":
        return None
    paced = step.blow_minutes + step.handling_minutes
    return plain(minutes.factor * paced / step.quantity)


def loads_of(step: StepReckoned, means: Means) -> list[Load]:
    """Return what to put on the truck: bags by what finished jobs used, never under the chart's."""
    learned = means.learned.get(step.kind)
    factor = max(Fraction(1), Fraction(repr(learned.bags_factor))) if learned else Fraction(1)
    return [
        replace(load, quantity=ceiling(load.quantity * factor)) if load.unit == "bags" else load
        for load in step.loads
    ]


def _spoken(step: StepReckoned, minutes: Minutes, means: Means) -> list[str]:
    lines = []
    if step.hand_minutes:
        lines.append(
            f"Hand work of {spoken(step.hand_minutes)} person-minutes divides by the people, with"
            f" {spoken(means.loss.value * 100)} % lost for each beyond two."
        )
    if step.blow_minutes:
        lines.append("The blow takes two people at least and gets no quicker with a third.")
    learned = means.learned.get(step.kind)
    if learned:
        lines.append(f"Minutes are times {learned.factor:.3g}, {learned.source}.")
        if learned.bags_factor > 1:
            lines.append(f"Jobs used {learned.bags_factor:.3g} times the bags; the load allows it.")
    lines.append(
        f"A crew of {minutes.people} takes {spoken(minutes.half, 1)} minutes, in four of five cases"
        f" at most {spoken(Fraction(minutes.most), 1)} ({minutes.sigma_source})."
    )
    return lines


def _most_figure(minutes: Minutes) -> Figure:
    return Figure(
        "minutes_80",
        Fraction(minutes.most),
        "min",
        "{minutes_50} x exp(0.8416 x {sigma})",
        {"minutes_50": minutes.half, "sigma": Fraction(minutes.sigma)},
        f"lognormal; {minutes.sigma_source}",
    )


def _crew_figure(step: StepReckoned, minutes: Minutes, means: Means) -> Figure:
    rests = minutes.half - minutes.factor * crew_minutes(step, minutes.people, means.loss.value)
    return Figure(
        "crew_minutes",
        minutes.half,
        "min",
        "({paced} + {hand} / {divisor}) x {learned} + {rests}",
        {
            "paced": step.blow_minutes + step.handling_minutes,
            "hand": step.hand_minutes,
            "divisor": hand_divisor(minutes.people, means.loss.value),
            "learned": minutes.factor,
            "rests": rests,
        },
        f"machine-paced minutes + hand work divided by {minutes.people} people",
    )
