"""Coverage and cavity charts: rows, the choice of a row, checks of a row against itself."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from jobs.conditions.sentences import Sentence
from jobs.conditions.sentences import marked as _
from jobs.estimating.exact import spoken
from jobs.estimating.geometry import initial_depth_in
from jobs.estimating.reading import MeasureName, Node, TakeoffError, limits

LABEL_R_VALUES = (13, 19, 22, 30, 38, 49)
TOLERANCE = Fraction(2, 100)
LABEL_SOURCE = "16 CFR 460.12(b)(2)"
SELF_SOURCE = "the row's own columns; real labels hold inconsistent rows"


@dataclass(frozen=True, slots=True)
class ChartRow:
    """One R of a loose-fill label: depths in inches, weight in lb/ft2, coverage."""

    r: Fraction
    initial_in: Fraction | None
    settled_in: Fraction | None
    stated_lb_per_ft2: Fraction | None
    bags_per_1000_ft2: Fraction | None
    ft2_per_bag: Fraction | None

    def lb_per_ft2(self, bag_lb: Fraction) -> Fraction:
        """Return the weight laid: the label's lb/ft2, else from its bags or its coverage."""
        if self.stated_lb_per_ft2 is not None:
            return self.stated_lb_per_ft2
        if self.bags_per_1000_ft2 is not None:
            return self.bags_per_1000_ft2 * bag_lb / 1000
        assert self.ft2_per_bag is not None  # noqa: S101 - read_row lets no other row in
        return bag_lb / self.ft2_per_bag


@dataclass(frozen=True, slots=True)
class CavityRow:
    """R of a filled cavity of one depth, at a density of at least `lb_per_ft3`."""

    depth_in: Fraction
    r: Fraction
    lb_per_ft3: Fraction


def read_row(node: Node) -> ChartRow:
    """Read a row; it must give its weight by one of lb/ft2, bags per 1,000 ft2, ft2 per bag."""
    row = ChartRow(
        r=node.number("r", "R", limits(0, 200)),
        initial_in=node.maybe("initial_in", "in", limits(0, 100)),
        settled_in=node.maybe("settled_in", "in", limits(0, 100)),
        stated_lb_per_ft2=node.maybe("lb_per_ft2", "lb/ft2", limits(0, 50)),
        bags_per_1000_ft2=node.maybe("bags_per_1000_ft2", "bags", limits(0, 10_000)),
        ft2_per_bag=node.maybe("ft2_per_bag", "ft2", limits(0, 10_000)),
    )
    if row.initial_in and row.settled_in and row.initial_in < row.settled_in:
        raise node.fail(
            "initial_in",
            _("is less than %(measure)s; loose fill settles, it never rises"),
            measure=MeasureName("settled_in"),
        )
    if not (row.stated_lb_per_ft2 or row.bags_per_1000_ft2 or row.ft2_per_bag):
        raise node.lacks("lb_per_ft2", _("is missing; the label gives the minimum weight per ft2"))
    return row


def read_cavity_row(node: Node) -> CavityRow:
    """Read a row of a cavity chart."""
    return CavityRow(
        depth_in=node.number("depth_in", "in", limits(0, 60)),
        r=node.number("r", "R", limits(0, 200)),
        lb_per_ft3=node.maybe("lb_per_ft3", "lb/ft3", limits(0, 6)) or Fraction(0),
    )


def pick_row(chart: Sequence[ChartRow], target_r: Fraction, path: str) -> ChartRow:
    """Return the row of the target R, or the next higher one; no interpolation (16 CFR 460.17).

    Raises TakeoffError at `path` where the chart has no row that high.
    """
    enough = [row for row in chart if row.r >= target_r]
    if enough:
        return min(enough, key=lambda row: row.r)
    if not chart:
        raise TakeoffError(path, Sentence(_("the material has no coverage chart")))
    top = max(row.r for row in chart)
    above = _("R-%(target)s is above the chart's highest row, R-%(top)s")
    raise TakeoffError(path, Sentence(above, {"target": spoken(target_r), "top": spoken(top)}))


def pick_cavity_row(
    chart: Sequence[CavityRow], depth_in: Fraction, lb_per_ft3: Fraction
) -> CavityRow | None:
    """Return the deepest row no deeper than the fill that asks for no more density; or None."""
    fits = [row for row in chart if row.depth_in <= depth_in and row.lb_per_ft3 <= lb_per_ft3]
    return max(fits, key=lambda row: (row.depth_in, row.r), default=None)


def settling(row: ChartRow) -> Fraction | None:
    """Return the settling: (initial - settled) / initial."""
    if row.initial_in is None or row.settled_in is None:
        return None
    return (row.initial_in - row.settled_in) / row.initial_in


def _off(one: Fraction, other: Fraction) -> bool:
    return abs(one - other) > TOLERANCE * max(one, other)


def row_faults(
    row: ChartRow,
    bag_lb: Fraction | None,
    settle: Fraction | None = None,
    settled_lb_per_ft3: Fraction | None = None,
) -> list[str]:
    """Say in sentences what in a row disagrees with itself by more than 2 %; empty when nothing.

    Bags against coverage; weight against bags; weight against coverage; depths against the
    settling and the settled density where the product states them.
    """
    checks: list[tuple[str, Fraction | None, str, Fraction | None]] = [
        ("bags per 1,000 ft2", row.bags_per_1000_ft2, "1000 / ft2 per bag", _over(1000, row)),
    ]
    if bag_lb is not None:
        weight, bags = row.stated_lb_per_ft2, row.bags_per_1000_ft2
        by_bags = None if bags is None else bags * bag_lb / 1000
        checks.append(("lb/ft2", weight, "bags x bag weight / 1000", by_bags))
        checks.append(("lb/ft2", weight, "bag weight / ft2 per bag", _over(bag_lb, row)))
    if settle is not None and row.settled_in is not None:
        by_settling = initial_depth_in(row.settled_in, settle)
        checks.append(("initial in", row.initial_in, "settled / (1 - settling)", by_settling))
    if settled_lb_per_ft3 is not None and row.settled_in is not None:
        by_density = row.settled_in / 12 * settled_lb_per_ft3
        checks.append(("lb/ft2", row.stated_lb_per_ft2, "settled depth x density", by_density))
    return [
        f"R-{spoken(row.r)}: {name} is {spoken(one, 3)} but {other_name} gives {spoken(other, 3)}"
        for name, one, other_name, other in checks
        if one is not None and other is not None and _off(one, other)
    ]


def _over(value: Fraction | int, row: ChartRow) -> Fraction | None:
    return None if row.ft2_per_bag is None else value / row.ft2_per_bag
