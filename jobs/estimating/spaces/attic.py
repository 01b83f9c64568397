"""Attic flat: the chart's row, bags, markers, the load on the board, a blow at the slowest pace."""

from dataclasses import dataclass
from fractions import Fraction

from jobs.estimating import cautions
from jobs.estimating.blowing import flat_pace
from jobs.estimating.charts import SELF_SOURCE, ChartRow, pick_row, row_faults
from jobs.estimating.exact import ceiling, said
from jobs.estimating.materials import Material
from jobs.estimating.means import Means
from jobs.estimating.reading import Node, limits
from jobs.estimating.steps import Load, Space, Step

CHART_SOURCE = "the product's coverage chart (16 CFR 460.12, 460.17)"
DAM_OVER_FILL_IN = 4
_AREA = limits(0, 1_000_000)


@dataclass(frozen=True, slots=True)
class Attic:
    """The measures of an attic flat."""

    areas_ft2: tuple[Fraction, ...]
    target_r: Fraction
    existing_r: Fraction
    existing_lb_per_ft2: Fraction

    @property
    def area_ft2(self) -> Fraction:
        """Net area of all its separate attics."""
        return sum(self.areas_ft2, Fraction(0))


def markers_needed(areas_ft2: tuple[Fraction, ...], ft2_each: Fraction = Fraction(300)) -> int:
    """Depth markers: ceil(area / 300), counted for each separate attic (IECC R303.1.1.1)."""
    return sum(ceiling(area / ft2_each) for area in areas_ft2)


def attic_flat(node: Node, means: Means) -> Space:
    """Steps and doubts of an attic flat. Raises TakeoffError."""
    attic = read_attic(node)
    material = means.material(node, "attic_flat")
    if material.kind != "loose_fill":
        raise node.fail("material", f"{material.name} is no loose fill and cannot be blown")
    space = Space(markers=markers_needed(attic.areas_ft2, means.marker_ft2.value))
    needed_r = attic.target_r - attic.existing_r
    if needed_r <= 0:
        space.doubt(_enough_already(attic))
        return space
    row = pick_row(material.chart, needed_r, node.at("target_r"))
    space.doubt(*_chart_doubts(row, needed_r, material))
    load = row.lb_per_ft2(material.bag()) + attic.existing_lb_per_ft2
    space.doubt(_board(node, load))
    space.steps.append(
        _flat_blow(node, attic, row, material=material, means=means, markers=space.markers or 0)
    )
    return space


def read_attic(node: Node) -> Attic:
    """The measures; `attics` lists the areas of separate attics, or counts equal ones."""
    existing = node.child("existing")
    depth_in = existing.maybe("depth_in", "in", limits(0, 60, zero=True))
    density = existing.maybe("lb_per_ft3", "lb/ft3", limits(0, 10))
    load = existing.maybe("lb_per_ft2", "lb/ft2", limits(0, 50, zero=True))
    if load is None and depth_in is not None and density is not None:
        load = depth_in / 12 * density
    return Attic(
        areas_ft2=_areas(node),
        target_r=node.number("target_r", "R", limits(0, 200)),
        existing_r=existing.maybe("r", "R", limits(0, 200, zero=True)) or Fraction(0),
        existing_lb_per_ft2=load or Fraction(0),
    )


def _areas(node: Node) -> tuple[Fraction, ...]:
    if not isinstance(node.raw("attics"), list | tuple):
        area, count = node.number("area_ft2", "ft2", _AREA), node.whole("attics", limits(0, 1000))
        return (area / (count or 1),) * (count or 1)
    areas = node.numbers("attics", "ft2", _AREA)
    total = node.maybe("area_ft2", "ft2", _AREA)
    if not areas or (total is not None and total != sum(areas)):
        raise node.fail("attics", "must list areas whose sum is area_ft2")
    return tuple(areas)


def _enough_already(attic: Attic) -> cautions.Doubt:
    text = f"R-{said(attic.existing_r)} lies there already; R-{said(attic.target_r)} asks no more."
    return cautions.Doubt("enough_already", text, "the takeoff's existing insulation")


def _chart_doubts(row: ChartRow, needed: Fraction, material: Material) -> list[cautions.Doubt]:
    doubts = []
    if row.r != needed:
        text = f"R-{said(needed)} is not on the chart of {material.name}; R-{said(row.r)} is taken."
        source = "16 CFR 460.17: the next higher row, nothing between"
        doubts.append(cautions.Doubt("target_not_on_chart", text, source))
    faults = row_faults(row, material.bag_lb, material.settle, material.settled_lb_per_ft3)
    doubts += [cautions.Doubt("chart_row", fault, SELF_SOURCE) for fault in faults]
    return doubts


def _board(node: Node, load: Fraction) -> cautions.Doubt | None:
    return cautions.board_load(
        load,
        node.maybe("board_in", "in", limits(0, 4)),
        node.maybe("framing_in", "in", limits(0, 96)),
        node.maybe("board_limit_lb_per_ft2", "lb/ft2", limits(0, 50)),
    )


def _flat_blow(
    node: Node, attic: Attic, row: ChartRow, *, material: Material, means: Means, markers: int
) -> Step:
    step = Step("flat_blow", attic.area_ft2, "ft2")
    weight, bag_lb = row.lb_per_ft2(material.bag()), material.bag()
    pounds = step.figure(
        "pounds",
        attic.area_ft2 * weight,
        "lb",
        "{area_ft2} x {lb_per_ft2}",
        CHART_SOURCE,
        area_ft2=attic.area_ft2,
        lb_per_ft2=weight,
    )
    bags = ceiling(pounds / bag_lb)
    step.figure(
        "bags",
        Fraction(bags),
        "bags",
        "{pounds} / {bag_lb}, rounded up once",
        CHART_SOURCE,
        pounds=pounds,
        bag_lb=bag_lb,
    )
    step.fact(
        material=material.name,
        fill="open",
        r=row.r,
        initial_in=row.initial_in,
        settled_in=row.settled_in,
        lb_per_ft2=weight,
        pounds=pounds,
        bags=bags,
    )
    step.because.append(
        f"R-{said(row.r)} of {material.name} lays {said(weight, 4)} lb/ft2: {said(attic.area_ft2)}"
        f" ft2 take {said(pounds)} lb, {bags} bags of {said(bag_lb)} lb."
    )
    step.blow(flat_pace(means.machine, material, weight), pounds, bag_lb)
    step.loads.append(Load(material.name, bags, "bags"))
    _markers_and_dams(node, step, row, means, markers)
    return step


def _markers_and_dams(node: Node, step: Step, row: ChartRow, means: Means, markers: int) -> None:
    step.by_hand(means.hand["marker_minutes"], Fraction(markers), "Depth markers")
    step.loads.append(Load("markers", markers, "pieces"))
    hatches = node.whole("hatches", limits(0, 1000, zero=True))
    dam_ft = node.maybe("dam_ft", "ft", limits(0, 100_000, zero=True)) or Fraction(0)
    masking = node.maybe("masking_ft2", "ft2", limits(0, 100_000, zero=True)) or Fraction(0)
    step.by_hand(means.hand["hatch_minutes"], Fraction(hatches), "Hatch dams and lids")
    step.by_hand(means.hand["dam_minutes_per_ft"], dam_ft, "Dams")
    step.by_hand(means.hand["masking_minutes_per_ft2"], masking, "Masking")
    if dam_ft:
        step.loads.append(Load("dam", ceiling(dam_ft), "ft"))
    if (hatches or dam_ft) and row.initial_in:
        step.fact(dam_in=row.initial_in + DAM_OVER_FILL_IN)
        step.because.append(
            f"Dams stand {DAM_OVER_FILL_IN} in over the fill, {said(row.initial_in + 4)} in high"
            " (Guide to Attic Air Sealing)."
        )
