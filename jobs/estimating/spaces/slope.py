"""Slope bays: volume, pounds and bags, minutes per bay, the cavity's R, the net where asked."""

from dataclasses import dataclass
from fractions import Fraction

from jobs.conditions.sentences import marked as _
from jobs.estimating import defaults
from jobs.estimating.cautions import Doubt, board_strength, vent_space
from jobs.estimating.codes import EXCEPTED_R, LOCAL, Code, ceiling_without_attic
from jobs.estimating.estimated import BayLength, Load
from jobs.estimating.exact import ceiling, plain, spoken
from jobs.estimating.geometry import bay_volume_ft3, clear_width_in, fill_depth_in
from jobs.estimating.means import Means
from jobs.estimating.reading import LESS_THAN_SPACING, MeasureName, Node, limits
from jobs.estimating.spaces.cavity import Fill, blow_cavities, cavity_r, read_fill
from jobs.estimating.spaces.handwork import mask
from jobs.estimating.spaces.pitch import LENGTH, lengths_differ, read_length_ft
from jobs.estimating.steps import SpaceReckoned, StepReckoned

COVERS = ("net", "board", "none")
GEOMETRY = "geometry: clear width x fill depth x length"


@dataclass(frozen=True, slots=True)
class SlopeRun:
    """So many bays of one slope length."""

    bays: Fraction
    length_ft: Fraction


@dataclass(frozen=True, slots=True)
class Slope:
    """The measures of slope bays: runs of bays, and the section that they share."""

    runs: tuple[SlopeRun, ...]
    depth_in: Fraction
    spacing_in: Fraction
    rafter_width_in: Fraction
    vent_in: Fraction
    cover: str

    @property
    def bays(self) -> Fraction:
        """Number of bays in all."""
        return sum((run.bays for run in self.runs), Fraction(0))

    @property
    def length_ft(self) -> Fraction:
        """Length of all bays end to end."""
        return sum((run.bays * run.length_ft for run in self.runs), Fraction(0))

    @property
    def width_in(self) -> Fraction:
        """Clear width of a bay."""
        return clear_width_in(self.spacing_in, self.rafter_width_in)

    @property
    def fill_in(self) -> Fraction:
        """Depth of the fill."""
        return fill_depth_in(self.depth_in, self.vent_in)

    @property
    def volume_ft3(self) -> Fraction:
        """Volume of all bays."""
        return bay_volume_ft3(self.width_in, self.fill_in, self.length_ft)

    @property
    def area_ft2(self) -> Fraction:
        """Area of the slope, rafters included: spacing x length."""
        return self.spacing_in / 12 * self.length_ft


def slope_bays(node: Node, means: Means) -> SpaceReckoned:
    """Return the steps and doubts of slope bays. Raises TakeoffError."""
    slope = read_slope(node)
    fill = read_fill(node, means.material(node, "slope_bays"))
    space = SpaceReckoned(notes=_exception(slope, means.code))
    space.doubt(lengths_differ(node), vent_space(slope.vent_in, _least_vent_in(node)))
    space.doubt(fill.density_doubt, _cover_doubt(node, slope, fill))
    if slope.cover == "net":
        space.steps.append(net(slope.area_ft2, means))
    step = _slope_blow(slope, fill, means)
    mask(node, step, means)
    space.doubt(cavity_r(step, fill, slope.fill_in, _target_r(node, means)))
    space.steps.append(step)
    return space


def _target_r(node: Node, means: Means) -> Fraction | None:
    target = node.maybe("target_r", "R", limits(0, 200))
    if target is None and means.code is not None:
        return Fraction(means.code.target.ceiling_r)
    return target


def read_slope(node: Node) -> Slope:
    """Return the measures, checked against one another."""
    depth_in = node.number("depth_in", "in", limits(0, 60))
    spacing_in = node.measure("spacing_in", defaults.SPACING_IN, limits(0, 96))
    width_in = node.measure("rafter_width_in", defaults.RAFTER_WIDTH_IN, limits(0, 24))
    vent_in = node.measure("vent_in", defaults.VENT_IN, limits(0, 60, zero=True))
    if vent_in >= depth_in:
        raise node.fail(
            "vent_in",
            _(
                "a vent space of %(vent)s in leaves nothing of a %(rafter)s in rafter;"
                " expected less than %(measure)s"
            ),
            vent=spoken(vent_in),
            rafter=spoken(depth_in),
            measure=MeasureName("depth_in"),
        )
    if width_in >= spacing_in:
        raise node.fail("rafter_width_in", LESS_THAN_SPACING, spacing=spoken(spacing_in))
    cover = node.choice("cover", COVERS, "enclosed")
    return Slope(_runs(node), depth_in, spacing_in, width_in, vent_in, cover)


def _runs(node: Node) -> tuple[SlopeRun, ...]:
    runs = [_run(item) for item in node.children("runs")]
    runs += [SlopeRun(Fraction(1), length) for length in node.numbers("lengths_ft", "ft", LENGTH)]
    if node.has("bays") or not runs:
        runs.append(_run(node))
    return tuple(runs)


def _run(node: Node) -> SlopeRun:
    bays = node.whole("bays", limits(0, 100_000), default=None)
    return SlopeRun(Fraction(bays), read_length_ft(node))


def _exception(slope: Slope, code: Code | None) -> list[str]:
    """Tell how much slope R-30 may serve by the code's exception for ceilings without attics."""
    if code is None or code.total_ceiling_ft2 is None or code.target.ceiling_r <= EXCEPTED_R:
        return []
    part = ceiling_without_attic(slope.area_ft2, code.total_ceiling_ft2, code.edition)
    return [
        f"Where there is no room for R-{code.target.ceiling_r}, R-{EXCEPTED_R} may serve"
        f" {spoken(part.covered_ft2)} of the {spoken(slope.area_ft2)} ft2 of slope"
        f" ({part.source}). {LOCAL}"
    ]


def _least_vent_in(node: Node) -> Fraction:
    least = node.maybe("least_vent_in", "in", limits(0, 12, zero=True))
    return Fraction(1) if least is None else least


def _cover_doubt(node: Node, slope: Slope, fill: Fill) -> Doubt | None:
    board_in = node.maybe("board_in", "in", limits(0, 4))
    if slope.cover == "none":
        text = "Nothing is said to cover the bays; loose fill needs a net or a board to hold it."
        return Doubt("no_cover", text, "common practice, no source")
    return board_strength(board_in, slope.spacing_in) if fill.kind == "dense" else None


def net(area_ft2: Fraction, means: Means) -> StepReckoned:
    """Staple a net over bays: hand work by area."""
    step = StepReckoned("net", area_ft2, "ft2")
    step.by_hand(means.hand["net_minutes_per_ft2"], area_ft2, "Net stapled over the rafters")
    step.loads.append(Load("net", ceiling(area_ft2), "ft2"))
    return step


def _slope_blow(slope: Slope, fill: Fill, means: Means) -> StepReckoned:
    step = StepReckoned("slope_blow", slope.bays, "bays")
    formula = "{width_in} x {fill_in} x {length_ft} / 144"
    inputs = {"width_in": slope.width_in, "fill_in": slope.fill_in, "length_ft": slope.length_ft}
    volume = step.figure("volume_ft3", slope.volume_ft3, "ft3", formula, GEOMETRY, **inputs)
    pounds = blow_cavities(step, fill, volume, means.machine)
    step.handle(means.machine.minutes_per_bay, slope.bays, "bay")
    each = pounds / slope.bays
    each_ft = slope.length_ft / slope.bays
    step.fact(clear_width_in=plain(slope.width_in), length_ft=plain(each_ft))
    step.fact(pounds_per_bay=plain(each), bags_per_bay=plain(each / fill.material.bag()))
    step.fact(bays_by_length=_by_length(slope, step))
    return step


def _by_length(slope: Slope, step: StepReckoned) -> list[BayLength]:
    """Return volume and minutes of one bay of each length; bags are counted over the space."""
    per_ft = step.blow_minutes / slope.length_ft
    handling = step.handling_minutes / slope.bays
    return [
        {
            "bays": plain(run.bays),
            "length_ft": plain(run.length_ft),
            "volume_ft3": plain(bay_volume_ft3(slope.width_in, slope.fill_in, run.length_ft)),
            "minutes": plain(per_ft * run.length_ft + handling),
        }
        for run in slope.runs
    ]
