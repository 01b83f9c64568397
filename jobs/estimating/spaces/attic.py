"""Attic flat: the chart's row, bags, markers, the load on the board, a blow at the slowest pace."""

from dataclasses import dataclass, replace
from fractions import Fraction

from jobs.conditions.sentences import marked as _
from jobs.estimating.blowing import flat_pace
from jobs.estimating.cautions import LOAD_SOURCE, Doubt, board_load
from jobs.estimating.chart_checks import dates_fault
from jobs.estimating.charts import SELF_SOURCE, ChartRow, pick_row, row_faults
from jobs.estimating.estimated import Load
from jobs.estimating.exact import ceiling, counted, plain, spoken
from jobs.estimating.materials import Material
from jobs.estimating.means import Means
from jobs.estimating.reading import NOT_BLOWN, MeasureName, Node, limits, note
from jobs.estimating.spaces.eave import eave_depth, heel_room_in, notes, under_code
from jobs.estimating.spaces.handwork import dam, mask, removal
from jobs.estimating.steps import SpaceReckoned, StepReckoned

CHART_SOURCE = "the product's coverage chart (16 CFR 460.12, 460.17)"
_AREA = limits(0, 1_000_000)


@dataclass(frozen=True, slots=True)
class Attic:
    """The measures of an attic flat."""

    areas_ft2: tuple[Fraction, ...]
    target_r: Fraction
    existing_r: Fraction
    existing_lb_per_ft2: Fraction | None
    existing: bool

    @property
    def area_ft2(self) -> Fraction:
        """Net area of all its separate attics."""
        return sum(self.areas_ft2, Fraction(0))


def markers_needed(areas_ft2: tuple[Fraction, ...], ft2_each: Fraction = Fraction(300)) -> int:
    """Return the depth markers: ceil(area / 300), for each separate attic (IECC R303.1.1.1)."""
    return sum(ceiling(area / ft2_each) for area in areas_ft2)


def attic_flat(node: Node, means: Means) -> SpaceReckoned:
    """Return the steps and doubts of an attic flat. Raises TakeoffError."""
    attic = read_attic(node, means)
    material = means.material(node, "attic_flat")
    if material.kind != "loose_fill":
        raise node.fail("material", NOT_BLOWN, material=material.name)
    space = SpaceReckoned(markers=markers_needed(attic.areas_ft2, means.marker_ft2.value))
    space.steps.extend(removal(node, means))
    room_in = heel_room_in(node)
    space.notes = notes(means.code, attic.area_ft2, room_in, material.chart)
    space.notes += _what_lies_there(attic)
    space.doubt(under_code(attic.target_r, means.code, space.notes))
    needed_r = attic.target_r - attic.existing_r
    if needed_r <= 0:
        space.doubt(_enough_already(attic))
        return space
    row = pick_row(material.chart, needed_r, node.at("target_r"))
    space.doubt(*_chart_doubts(row, needed_r, material, means.on_date))
    space.doubt(_board(node, attic, row, material), eave_depth(node, room_in, row))
    space.steps.append(
        _flat_blow(node, attic, row, material=material, means=means, markers=space.markers or 0)
    )
    return space


def read_attic(node: Node, means: Means) -> Attic:
    """Return the measures; `attics` lists the areas of separate attics, or counts equal ones."""
    existing = node.child("existing")
    depth_in = existing.maybe("depth_in", "in", limits(0, 60, zero=True))
    density = existing.maybe("lb_per_ft3", "lb/ft3", limits(0, 10))
    load = existing.maybe("lb_per_ft2", "lb/ft2", limits(0, 50, zero=True))
    if load is None and depth_in is not None and density is not None:
        load = depth_in / 12 * density
    return Attic(
        areas_ft2=_areas(node),
        target_r=_target_r(node, means),
        existing_r=existing.maybe("r", "R", limits(0, 200, zero=True)) or Fraction(0),
        existing_lb_per_ft2=load,
        existing=bool(existing.data),
    )


def _target_r(node: Node, means: Means) -> Fraction:
    target = node.maybe("target_r", "R", limits(0, 200))
    if target is not None or means.code is None:
        return node.number("target_r", "R") if target is None else target
    suggested = means.code.target
    note(node.assumed, node.at("target_r"), suggested.ceiling_r, "R", suggested.sentence())
    return Fraction(suggested.ceiling_r)


def _areas(node: Node) -> tuple[Fraction, ...]:
    if not isinstance(node.raw("attics"), list | tuple):
        area, count = node.number("area_ft2", "ft2", _AREA), node.whole("attics", limits(0, 1000))
        return (area / (count or 1),) * (count or 1)
    areas = node.numbers("attics", "ft2", _AREA)
    total = node.maybe("area_ft2", "ft2", _AREA)
    if not areas or (total is not None and total != sum(areas)):
        raise node.fail(
            "attics", _("must list areas whose sum is %(measure)s"), measure=MeasureName("area_ft2")
        )
    return tuple(areas)


def _what_lies_there(attic: Attic) -> list[str]:
    if not attic.existing:
        return []
    counted = (
        f"R-{spoken(attic.existing_r)} that lies there is taken off the target"
        if attic.existing_r
        else "What lies there has no stated R and counts as none"
    )
    return [f"{counted}; a receipt is for what is blown and adds no R (16 CFR 460.17)."]


def _enough_already(attic: Attic) -> Doubt:
    text = (
        f"R-{spoken(attic.existing_r)} lies there already; R-{spoken(attic.target_r)} asks no more."
    )
    return Doubt("enough_already", text, "the takeoff's existing insulation")


def _chart_doubts(row: ChartRow, needed: Fraction, material: Material, on: str) -> list[Doubt]:
    doubts = []
    if row.r != needed:
        text = f"R-{spoken(needed)} is not on the chart of {material.name};"
        text += f" R-{spoken(row.r)} is taken."
        source = "16 CFR 460.17: the next higher row, nothing between"
        doubts.append(Doubt("target_not_on_chart", text, source))
    if fault := dates_fault(material.valid_from, material.valid_to, on):
        doubts.append(Doubt("chart_dates", f"{material.name}: {fault}.", "the chart's own dates"))
    faults = row_faults(row, material.bag_lb, material.settle, material.settled_lb_per_ft3)
    return doubts + [Doubt("chart_row", fault, SELF_SOURCE) for fault in faults]


def _board(node: Node, attic: Attic, row: ChartRow, material: Material) -> Doubt | None:
    """Return the doubt about the load of everything laid, with the heaviest row that would do."""
    board_in = node.maybe("board_in", "in", limits(0, 4))
    framing_in = node.maybe("framing_in", "in", limits(0, 96))
    own = node.maybe("board_limit_lb_per_ft2", "lb/ft2", limits(0, 50))

    def doubt_of(one: ChartRow) -> Doubt | None:
        """Return the doubt about the load of one row of the chart."""
        load = one.lb_per_ft2(material.bag()) + (attic.existing_lb_per_ft2 or 0)
        return board_load(load, board_in, framing_in, own)

    doubt = doubt_of(row)
    if doubt is None and attic.existing and attic.existing_lb_per_ft2 is None:
        text = "What lies there already is not weighed: give its lb/ft2, or depth and density."
        return Doubt("board_unknown", text, LOAD_SOURCE)
    if doubt is None or not doubt.holds:
        return doubt
    carried = max((one.r for one in material.chart if doubt_of(one) is None), default=None)
    text = "No row of the chart would do" if carried is None else f"R-{spoken(carried)} would do"
    return replace(doubt, text=f"{doubt.text} {text}.")


def _depths(step: StepReckoned, row: ChartRow) -> None:
    initial_in = None if row.initial_in is None else plain(row.initial_in)
    settled_in = None if row.settled_in is None else plain(row.settled_in)
    step.fact(fill="open", r=plain(row.r), initial_in=initial_in, settled_in=settled_in)


def _flat_blow(
    node: Node, attic: Attic, row: ChartRow, *, material: Material, means: Means, markers: int
) -> StepReckoned:
    step = StepReckoned("flat_blow", attic.area_ft2, "ft2")
    weight, bag_lb = row.lb_per_ft2(material.bag()), material.bag()
    pounds = step.product("pounds", "lb", CHART_SOURCE, area_ft2=attic.area_ft2, lb_per_ft2=weight)
    bags = step.bag(pounds, bag_lb, material.name)
    _depths(step, row)
    step.fact(lb_per_ft2=plain(weight))
    step.because.append(
        f"R-{spoken(row.r)} of {material.name} lays {spoken(weight, 4)} lb/ft2:"
        f" {spoken(attic.area_ft2)} ft2 take {spoken(pounds)} lb, {counted(bags, 'bag')}"
        f" of {spoken(bag_lb)} lb."
    )
    step.blow(flat_pace(means.machine, material, weight), pounds, bag_lb)
    step.by_hand(means.hand["marker_minutes"], Fraction(markers), "Depth markers")
    step.loads.append(Load("markers", markers, "pieces"))
    dam(node, step, means, row.initial_in)
    mask(node, step, means)
    return step
