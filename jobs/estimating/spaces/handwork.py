"""Hand work that several kinds of space share: removal of old insulation, masking."""

from fractions import Fraction

from jobs.estimating.estimated import Load
from jobs.estimating.exact import ceiling, plain, spoken
from jobs.estimating.means import Means
from jobs.estimating.reading import Node, limits
from jobs.estimating.steps import StepReckoned

DEBRIS_FT2_PER_YD3 = 500
DAM_OVER_FILL_IN = 4
CONTAINMENT = Fraction(3, 2)
_AREA = limits(0, 1_000_000, zero=True)


def removal(node: Node, means: Means) -> list[StepReckoned]:
    """Take old insulation out of `remove_ft2`; half as much again in containment.

    0.003 craft-hours per ft2, + 50 % in containment, 500 ft2 to the cubic yard of debris: 2018
    National Home Improvement Estimator, p. 533.
    """
    area = node.maybe("remove_ft2", "ft2", _AREA)
    contained = node.flag("containment")
    if not area:
        return []
    step = StepReckoned("removal", area, "ft2")
    step.fact(debris_yd3=plain(area / DEBRIS_FT2_PER_YD3))
    if contained:
        step.because.append("In containment removal takes half as long again.")
    worth = area * (CONTAINMENT if contained else 1)
    step.by_hand(means.hand["removal_minutes_per_ft2"], worth, "Removal")
    return [step]


def mask(node: Node, step: StepReckoned, means: Means) -> None:
    """Mask `masking_ft2` before a blow."""
    area = node.maybe("masking_ft2", "ft2", _AREA) or Fraction(0)
    step.by_hand(means.hand["masking_minutes_per_ft2"], area, "Masking")


def dam(node: Node, step: StepReckoned, means: Means, initial_in: Fraction | None) -> None:
    """Build dams and hatch lids; a dam stands 4 in over the finished fill."""
    hatches = Fraction(node.whole("hatches", limits(0, 1000, zero=True)))
    dam_ft = node.maybe("dam_ft", "ft", limits(0, 100_000, zero=True)) or Fraction(0)
    step.by_hand(means.hand["hatch_minutes"], hatches, "Hatch dams and lids")
    step.by_hand(means.hand["dam_minutes_per_ft"], dam_ft, "Dams")
    if dam_ft:
        step.loads.append(Load("dam", ceiling(dam_ft), "ft"))
    if hatches:
        step.loads.append(Load("hatch dams and lids", int(hatches), "pieces"))
    if (hatches or dam_ft) and initial_in:
        step.fact(dam_in=plain(initial_in + DAM_OVER_FILL_IN))
        step.because.append(
            f"Dams are {spoken(initial_in + DAM_OVER_FILL_IN)} in high, {DAM_OVER_FILL_IN} in over"
            " the fill (Guide to Attic Air Sealing)."
        )
