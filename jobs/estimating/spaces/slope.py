"""Slope bays: volume, pounds and bags, minutes per bay, the cavity's R, the net where asked."""

from dataclasses import dataclass
from fractions import Fraction

from jobs.estimating import cautions, defaults
from jobs.estimating.blowing import slope_pace
from jobs.estimating.codes import EXCEPTED_R, LOCAL, Code, ceiling_without_attic
from jobs.estimating.exact import ceiling, plain, said
from jobs.estimating.geometry import bay_volume_ft3, clear_width_in, fill_depth_in
from jobs.estimating.materials import Material
from jobs.estimating.means import Means
from jobs.estimating.reading import Node, limits
from jobs.estimating.spaces.cavity import cavity_r, filled, read_fill
from jobs.estimating.spaces.handwork import mask
from jobs.estimating.spaces.pitch import LENGTH, lengths_differ, read_length_ft
from jobs.estimating.steps import Load, Space, Step

COVERS = ("net", "board", "none")
GEOMETRY = "geometry: clear width x fill depth x length"


@dataclass(frozen=True, slots=True)
class Run:
    """So many bays of one slope length."""

    bays: Fraction
    length_ft: Fraction


@dataclass(frozen=True, slots=True)
class Slope:
    """The measures of slope bays: runs of bays, and the section that they share."""

    runs: tuple[Run, ...]
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


def slope_bays(node: Node, means: Means) -> Space:
    """Steps and doubts of slope bays. Raises TakeoffError."""
    slope = read_slope(node)
    material = means.material(node, "slope_bays")
    if material.kind != "loose_fill":
        raise node.fail("material", f"{material.name} is no loose fill and cannot be blown")
    density, fill = read_fill(node, material)
    space = Space(notes=_exception(slope, means.code))
    space.doubt(lengths_differ(node))
    space.doubt(cautions.vent_space(slope.vent_in, _least_vent_in(node)))
    if fill == "dense":
        space.doubt(cautions.density_low(density, material.dense_min_lb_per_ft3))
    space.doubt(*_cover_doubts(node, slope, fill))
    if slope.cover == "net":
        space.steps.append(net(slope.area_ft2, means))
    space.steps.append(
        _slope_blow(
            node, slope, space, material=material, lb_per_ft3=density, fill=fill, means=means
        )
    )
    return space


def read_slope(node: Node) -> Slope:
    """The measures, checked against one another."""
    depth_in = node.number("depth_in", "in", limits(0, 60))
    spacing_in = node.measure("spacing_in", defaults.SPACING_IN, limits(0, 96))
    width_in = node.measure("rafter_width_in", defaults.RAFTER_WIDTH_IN, limits(0, 24))
    vent_in = node.measure("vent_in", defaults.VENT_IN, limits(0, 60, zero=True))
    if vent_in >= depth_in:
        raise node.fail(
            "vent_in",
            f"a vent space of {said(vent_in)} in leaves nothing of a {said(depth_in)} in rafter;"
            " expected less than depth_in",
        )
    if width_in >= spacing_in:
        raise node.fail("rafter_width_in", f"expected less than the spacing, {said(spacing_in)} in")
    cover = node.choice("cover", COVERS, "enclosed")
    return Slope(_runs(node), depth_in, spacing_in, width_in, vent_in, cover)


def _runs(node: Node) -> tuple[Run, ...]:
    runs = [_run(item) for item in node.children("runs")]
    runs += [Run(Fraction(1), length) for length in node.numbers("lengths_ft", "ft", LENGTH)]
    if node.has("bays") or not runs:
        runs.append(_run(node))
    return tuple(runs)


def _run(node: Node) -> Run:
    bays = node.whole("bays", limits(0, 100_000), default=None)
    return Run(Fraction(bays), read_length_ft(node))


def _exception(slope: Slope, code: Code | None) -> list[str]:
    """How much of the slope R-30 may serve by the code's exception for ceilings without attics."""
    if code is None or code.total_ceiling_ft2 is None or code.target.ceiling_r <= EXCEPTED_R:
        return []
    part = ceiling_without_attic(slope.area_ft2, code.total_ceiling_ft2, code.edition)
    return [
        f"Where there is no room for R-{code.target.ceiling_r}, R-{EXCEPTED_R} may serve"
        f" {said(part.covered_ft2)} of the {said(slope.area_ft2)} ft2 of slope"
        f" ({part.source}). {LOCAL}"
    ]


def _least_vent_in(node: Node) -> Fraction:
    least = node.maybe("least_vent_in", "in", limits(0, 12, zero=True))
    return Fraction(1) if least is None else least


def _cover_doubts(node: Node, slope: Slope, fill: str) -> list[cautions.Doubt | None]:
    board_in = node.maybe("board_in", "in", limits(0, 4))
    if slope.cover == "none":
        text = "Nothing is said to cover the bays; loose fill needs a net or a board to hold it."
        return [cautions.Doubt("no_cover", text, "common practice, no source")]
    return [cautions.board_strength(board_in, slope.spacing_in) if fill == "dense" else None]


def net(area_ft2: Fraction, means: Means) -> Step:
    """Stapling a net over bays: hand work by area."""
    step = Step("net", area_ft2, "ft2")
    step.by_hand(means.hand["net_minutes_per_ft2"], area_ft2, "Net stapled over the rafters")
    step.loads.append(Load("net", ceiling(area_ft2), "ft2"))
    return step


def _slope_blow(
    node: Node,
    slope: Slope,
    space: Space,
    *,
    material: Material,
    lb_per_ft3: Fraction,
    fill: str,
    means: Means,
) -> Step:
    step = Step("slope_blow", slope.bays, "bays")
    volume = step.figure(
        "volume_ft3",
        slope.volume_ft3,
        "ft3",
        "{width_in} x {fill_in} x {length_ft} / 144",
        GEOMETRY,
        width_in=slope.width_in,
        fill_in=slope.fill_in,
        length_ft=slope.length_ft,
    )
    pounds = filled(step, volume, lb_per_ft3, material)
    step.blow(slope_pace(means.machine, material, fill), pounds, material.bag())
    step.handle(means.machine.minutes_per_bay, slope.bays, "bay")
    step.fact(
        fill=fill,
        fill_in=slope.fill_in,
        clear_width_in=slope.width_in,
        length_ft=slope.length_ft / slope.bays,
        pounds_per_bay=pounds / slope.bays,
        bags_per_bay=pounds / slope.bays / material.bag(),
    )
    step.facts["bays_by_length"] = _by_length(slope, step)
    mask(node, step, means)
    cavity_r(
        node,
        step,
        space,
        material=material,
        depth_in=slope.fill_in,
        lb_per_ft3=lb_per_ft3,
        target_r=Fraction(means.code.target.ceiling_r) if means.code else None,
    )
    return step


def _by_length(slope: Slope, step: Step) -> list[dict[str, object]]:
    """Volume and minutes of one bay of each length; bags are counted over the whole space."""
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
