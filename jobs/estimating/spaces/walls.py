"""Wall cavities, rim, knee wall and floor: batts by width and spacing, or a dense fill."""

from dataclasses import dataclass
from fractions import Fraction

from jobs.conditions.sentences import marked as _
from jobs.estimating import defaults
from jobs.estimating.cautions import Doubt, board_strength
from jobs.estimating.estimated import Load
from jobs.estimating.exact import ceiling, counted, plain, spoken
from jobs.estimating.geometry import clear_width_in
from jobs.estimating.materials import Batt, Material
from jobs.estimating.means import Means
from jobs.estimating.reading import LESS_THAN_SPACING, MeasureName, Node, TakeoffError, limits
from jobs.estimating.spaces.cavity import Fill, blow_cavities, cavity_r, read_fill, target_not_met
from jobs.estimating.spaces.handwork import mask, removal
from jobs.estimating.steps import SpaceReckoned, StepReckoned

WIDTH_SLACK_IN = 1
BATT_SOURCE = "batts are bought by gross area, framing included: a 15-in batt fills a 16-in module"
PACKAGE_SOURCE = "the package's label (16 CFR 460.12(b)(1))"
_AREA = limits(0, 1_000_000)
_LENGTH = limits(0, 100_000)
_DEPTH = limits(0, 60)


@dataclass(frozen=True, slots=True)
class Wall:
    """The measures of framed cavities; `cavities` where they were counted one by one.

    `depth_in` is 0 where it was not given.
    """

    net_ft2: Fraction
    spacing_in: Fraction
    stud_in: Fraction
    depth_in: Fraction
    cavities: Fraction
    framing_share: Fraction

    @property
    def volume_ft3(self) -> Fraction:
        """Net area x the share that is not framing x depth."""
        return self.net_ft2 * (1 - self.framing_share) * self.depth_in / 12


def walls(node: Node, means: Means) -> SpaceReckoned:
    """Reckon wall cavities: gross area, or stud run and height, or counted cavities."""
    return _framed(node, means, "walls")


def knee_wall(node: Node, means: Means) -> SpaceReckoned:
    """Reckon knee walls, as walls."""
    return _framed(node, means, "knee_wall")


def rim(node: Node, means: Means) -> SpaceReckoned:
    """Reckon a rim: its length and joist depth, or its area, as walls."""
    return _framed(node, means, "rim")


def floor(node: Node, means: Means) -> SpaceReckoned:
    """Reckon a floor over unheated space: its area and joists, as walls."""
    return _framed(node, means, "floor")


def _framed(node: Node, means: Means, kind: str) -> SpaceReckoned:
    material = means.material(node, kind)
    wall = read_wall(node)
    target = node.maybe("target_r", "R", limits(0, 200))
    space = SpaceReckoned(steps=removal(node, means))
    if material.kind == "batt":
        batt = pick_batt(node, wall, material, target)
        space.doubt(_depth_unknown(wall, batt))
        space.doubt(target_not_met(target, batt.r))
        space.steps.append(_batts(node, wall, batt, material.name, means))
    else:
        node.number("depth_in", "in", _DEPTH)
        fill = read_fill(node, material)
        space.doubt(fill.density_doubt)
        space.doubt(board_strength(node.maybe("board_in", "in", limits(0, 4)), wall.spacing_in))
        space.steps.append(_dense_fill(node, wall, fill, means))
        space.doubt(cavity_r(space.steps[-1], fill, wall.depth_in, target))
    return space


def read_wall(node: Node) -> Wall:
    """Return the measures, checked against one another. Raises TakeoffError."""
    spacing = node.measure("spacing_in", defaults.SPACING_IN, limits(0, 96))
    stud = node.maybe("rafter_width_in", "in", limits(0, 24))
    if stud is None:
        stud = node.measure("stud_width_in", defaults.RAFTER_WIDTH_IN, limits(0, 24))
    if stud >= spacing:
        raise node.fail("stud_width_in", LESS_THAN_SPACING, spacing=spoken(spacing))
    share = node.maybe("framing_factor", "of the area", limits(0, "0.6", zero=True))
    counted = node.whole("cavities", limits(0, 100_000))
    gross, openings = _gross_ft2(node, counted * spacing / 12), _openings_ft2(node)
    if openings >= gross:
        raise node.fail(
            "openings_ft2",
            _("leaves nothing of a gross area of %(gross)s ft2"),
            gross=spoken(gross),
        )
    return Wall(
        net_ft2=gross - openings,
        spacing_in=spacing,
        stud_in=stud,
        depth_in=node.maybe("depth_in", "in", _DEPTH) or Fraction(0),
        cavities=Fraction(counted),
        framing_share=stud / spacing if share is None else share,
    )


def _height_ft(node: Node) -> Fraction:
    """Return the height of a wall or depth of a rim; a wall's has a default, to count cavities."""
    inches = node.maybe("height_in", "in", limits(0, 1200))
    if inches is not None:
        return inches / 12
    return node.measure("height_ft", defaults.STUD_HEIGHT_FT, limits(0, 100))


def _gross_ft2(node: Node, counted_ft: Fraction) -> Fraction:
    area = node.maybe("area_ft2", "ft2", _AREA)
    if area is not None:
        return area
    run = counted_ft or node.maybe("stud_run_ft", "ft", _LENGTH)
    run = run or node.maybe("length_ft", "ft", _LENGTH)
    if run is None or not (node.has("height_ft") or node.has("height_in")):
        return node.number("area_ft2", "ft2, or a run in ft with a height", _AREA)
    return run * _height_ft(node)


def _openings_ft2(node: Node) -> Fraction:
    """Return the openings as an area, or as a list of widths and heights in inches."""
    area = node.maybe("openings_ft2", "ft2", limits(0, 1_000_000, zero=True)) or Fraction(0)
    side = limits(0, 2000)
    each = [
        item.number("width_in", "in", side) * item.number("height_in", "in", side) / 144
        for item in node.children("openings")
    ]
    return area + sum(each, Fraction(0))


def pick_batt(node: Node, wall: Wall, material: Material, target_r: Fraction | None) -> Batt:
    """Return the batt for a cavity: it fits in width and depth; the least R that meets the target.

    Without a target the thickest that fits; where none meets it, the best that fits. Without a
    depth the target alone decides. Raises TakeoffError where neither is given or none fits.
    """
    if not wall.depth_in and target_r is None:
        raise node.lacks(
            "depth_in",
            _("is missing; expected the depth in in, or a %(measure)s"),
            measure=MeasureName("target_r"),
        )
    clear = clear_width_in(wall.spacing_in, wall.stud_in)
    wide = [b for b in material.batts if clear <= b.width_in <= clear + WIDTH_SLACK_IN]
    fits = [batt for batt in wide if not wall.depth_in or batt.thickness_in <= wall.depth_in]
    if not fits:
        raise _no_batt(node, material, clear, wall.depth_in)
    if target_r is None:
        return max(fits, key=lambda batt: (batt.thickness_in, -batt.r))
    enough = [batt for batt in fits if batt.r >= target_r]
    if not enough:
        return max(fits, key=lambda batt: batt.r)
    return min(enough, key=lambda batt: (batt.r, -batt.thickness_in))


def _no_batt(
    node: Node, material: Material, clear_in: Fraction, depth_in: Fraction
) -> TakeoffError:
    if not depth_in:
        wide = _("%(material)s has no batt for a cavity %(wide)s in wide")
        return node.fail("depth_in", wide, material=material.name, wide=spoken(clear_in))
    return node.fail(
        "depth_in",
        _("%(material)s has no batt for a cavity %(wide)s in wide and %(deep)s in deep"),
        material=material.name,
        wide=spoken(clear_in),
        deep=spoken(depth_in),
    )


def _depth_unknown(wall: Wall, batt: Batt) -> Doubt | None:
    if wall.depth_in:
        return None
    text = (
        f"The depth is not given: whether a batt of {spoken(batt.thickness_in)} in fits the cavity"
        " was not looked at."
    )
    return Doubt("depth_unknown", text, "a batt pressed into less than its thickness loses R")


def _batts(node: Node, wall: Wall, batt: Batt, material: str, means: Means) -> StepReckoned:
    step = StepReckoned("batt", wall.net_ft2, "ft2")
    feet = step.figure(
        "batt_ft",
        wall.net_ft2 * 12 / wall.spacing_in,
        "ft",
        "{net_ft2} x 12 / {spacing_in}",
        BATT_SOURCE,
        net_ft2=wall.net_ft2,
        spacing_in=wall.spacing_in,
    )
    packages = _packages(node, step, batt, feet)
    step.fact(material=material, r=plain(batt.r), thickness_in=plain(batt.thickness_in))
    step.fact(width_in=plain(batt.width_in), batt_ft=plain(feet), packages=packages)
    step.because.append(
        f"{spoken(wall.net_ft2)} ft2 at {spoken(wall.spacing_in)} in take {spoken(feet)} ft of"
        f" R-{spoken(batt.r)} batt {spoken(batt.width_in)} in wide: {counted(packages, 'package')}"
        f" of {spoken(batt.package_ft2)} ft2."
    )
    step.by_hand(means.hand["batt_minutes_per_ft2"], wall.net_ft2, "Batts")
    name = f"{material} R-{spoken(batt.r)} {spoken(batt.width_in)} in"
    step.loads.append(Load(name, packages, "packages"))
    return step


def _packages(node: Node, step: StepReckoned, batt: Batt, batt_ft: Fraction) -> int:
    """Return packages: feet x width x (1 + waste) / ft2 of a package; no waste unless given."""
    waste = node.maybe("waste", "of the batts", limits(0, 1, zero=True)) or Fraction(0)
    inputs = {
        "batt_ft": batt_ft,
        "width_in": batt.width_in,
        "waste": waste,
        "package_ft2": batt.package_ft2,
    }
    packages = ceiling(batt_ft * batt.width_in / 12 * (1 + waste) / batt.package_ft2)
    formula = "{batt_ft} x {width_in} / 12 x (1 + {waste}) / {package_ft2}, rounded up once"
    step.figure("packages", Fraction(packages), "packages", formula, PACKAGE_SOURCE, **inputs)
    return packages


def _dense_fill(node: Node, wall: Wall, fill: Fill, means: Means) -> StepReckoned:
    step = StepReckoned("dense_fill", wall.net_ft2, "ft2")
    volume = step.figure(
        "volume_ft3",
        wall.volume_ft3,
        "ft3",
        "{net_ft2} x (1 - {framing_share}) x {depth_in} / 12",
        "geometry; framing as measured, else stud width over spacing, without plates",
        net_ft2=wall.net_ft2,
        framing_share=wall.framing_share,
        depth_in=wall.depth_in,
    )
    blow_cavities(step, fill, volume, means.machine)
    step.handle(means.machine.minutes_per_cavity, _cavities(node, wall), "cavity")
    mask(node, step, means)
    return step


def _cavities(node: Node, wall: Wall) -> Fraction:
    if wall.cavities:
        return wall.cavities
    return Fraction(ceiling(wall.net_ft2 / (wall.spacing_in / 12 * _height_ft(node))))
