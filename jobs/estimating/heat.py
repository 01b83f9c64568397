"""Heat of attic work: the air up there, early starts and rests; off unless a takeoff asks."""

from dataclasses import dataclass
from fractions import Fraction

from jobs.estimating.estimated import HeatEstimate
from jobs.estimating.exact import ceiling, plain
from jobs.estimating.reading import Node, limits

ATTIC_RISE_F = 40
EARLY_FROM_F = 80
REST_FROM_F = 90
REST_MINUTES = 15
REST_EVERY_MINUTES = 120
SOURCE = (
    "attic about 40 F over outdoor air at the summer peak under dark shingles (FSEC-CR-1220-00);"
    " triggers of 80 and 90 F and 15 minutes of rest in two hours: OSHA's proposed rule of"
    " 30 Aug 2024, not final where it was read"
)


@dataclass(frozen=True, slots=True)
class Heat:
    """A hot day in an attic: the outdoor air and by how much the attic is hotter, in F.

    The attic's own air is held against the triggers, never the outdoor heat index.
    """

    outdoor_f: Fraction
    rise_f: Fraction = Fraction(ATTIC_RISE_F)

    @property
    def attic_f(self) -> Fraction:
        """Air in the attic at the peak hour."""
        return self.outdoor_f + self.rise_f

    @property
    def start_early(self) -> bool:
        """Should attic work start at first light?"""
        return self.attic_f >= EARLY_FROM_F

    def estimated(self) -> HeatEstimate:
        """Return what the estimate passes on about the heat."""
        return HeatEstimate(plain(self.attic_f), self.start_early, SOURCE)

    def rest_minutes(self, minutes: Fraction) -> Fraction:
        """Return rests to add to work of so many minutes: 15 every two hours, none at the very end.

        Rests are paid and count as worked (29 CFR 785.18).
        """
        if self.attic_f < REST_FROM_F or not minutes:
            return Fraction(0)
        return Fraction(REST_MINUTES * (ceiling(minutes / REST_EVERY_MINUTES) - 1))


def read_heat(node: Node) -> Heat | None:
    """Return the heat setting of a takeoff; None where it is off."""
    if not node.flag("on", default=node.has("outdoor_f")):
        return None
    return Heat(
        outdoor_f=node.number("outdoor_f", "F", limits(-60, 140)),
        rise_f=node.maybe("rise_f", "F", limits(0, 100, zero=True)) or Fraction(ATTIC_RISE_F),
    )
