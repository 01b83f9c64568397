"""Baffles: pieces by bays and length, or by count, and their hand work."""

from fractions import Fraction

from jobs.estimating import defaults
from jobs.estimating.estimated import Load
from jobs.estimating.exact import ceiling
from jobs.estimating.means import Means
from jobs.estimating.reading import Node, limits
from jobs.estimating.steps import SpaceReckoned, StepReckoned

SOURCE = "one in every rafter bay with a soffit vent (DOE baffle practice)"


def baffles(node: Node, means: Means) -> SpaceReckoned:
    """Reckon one step of hand work. Raises TakeoffError."""
    pieces = _pieces(node)
    step = StepReckoned("baffles", Fraction(pieces), "pieces")
    step.fact(pieces=pieces)
    step.by_hand(means.hand["baffle_minutes"], Fraction(pieces), "Baffles")
    step.loads.append(Load("baffles", pieces, "pieces"))
    return SpaceReckoned(steps=[step])


def _pieces(node: Node) -> int:
    """Return the count as given, else bays x the pieces that the length of a bay takes."""
    whole = limits(0, 100_000)
    if node.has("count"):
        return node.whole("count", whole)
    bays = node.whole("bays", whole, default=None)
    length_ft = node.maybe("length_ft", "ft", limits(0, 1000))
    if length_ft is None:
        return bays
    piece_ft = node.measure("piece_ft", defaults.BAFFLE_PIECE_FT, limits(0, 100))
    return bays * ceiling(length_ft / piece_ft)
