"""Space rows to the estimator's takeoff, and its refusals back to fields; writes nothing."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Model

from contractor.models import Branch, Machine, Material
from jobs.conditions.sentences import Sentence
from jobs.estimates.branch_rates import BranchRates, machine_path, pinned_rate, rates_into
from jobs.estimating import TakeoffError
from jobs.models import Space

_IN_SPACE = re.compile(r"spaces\[(\d+)\]\.?(.*)")
_OF_MATERIAL = re.compile(r"materials\.([^.\[]+)")
# Where a path of the takeoff is written otherwise than the field it came from.
_FIELDS = {"id": "name", "items": "length_ft", "kind": "kind"}
_MEASURES = (
    "area_ft2",
    "bays",
    "length_ft",
    "run_ft",
    "pitch",
    "depth_in",
    "spacing_in",
    "vent_in",
    "target_r",
    "lb_per_ft3",
    "board_in",
    "framing_in",
    "count",
)

# Kept among a space's details for its page alone: the estimator is not told.
_NO_MEASURE = ("code",)

Takeoff = dict[str, object]


# What an estimate reads of a material, for `prefetch_related`.
MATERIAL_ROWS = ("material__chart", "material__cavity_chart", "material__batts")

NO_RATES = BranchRates()


def takeoff_of(
    spaces: Sequence[Space], machine: Machine | None, rates: BranchRates = NO_RATES
) -> Takeoff:
    """Return the takeoff/1 of a job's spaces, saved or not; each space's id is its name.

    machine: whose rates hold (see `usual_machine`); with None the estimator takes its defaults.
    rates: the branch's own (`branch_rates`); what they leave out is a default.
    """
    takeoff: Takeoff = {
        "format": "takeoff/1",
        "materials": _materials(space.material for space in spaces),
        "spaces": [_space(space) for space in spaces],
    }
    if machine is not None:
        takeoff["machine"] = _machine(machine, rates)
    rates_into(takeoff, rates, spaces, machine)
    return takeoff


def usual_machine(branch: Branch) -> Machine | None:
    """Return the branch's slowest active machine, by what it delivers in open blow, then by name.

    Which machine will be on the truck is not known when a job is estimated; minutes that hold
    for the slowest hold for every other.
    """
    active = [machine for machine in branch.machines.all() if machine.active]
    return min(active, key=lambda machine: (machine.open_lb_per_hour, machine.name), default=None)


def _machine(machine: Machine, rates: BranchRates) -> Takeoff:
    stated = {"open": machine.open_lb_per_hour, "dense": machine.dense_lb_per_hour}
    found: Takeoff = {}
    for fill, value in stated.items():
        pin = rates.pinned.get(machine_path(machine, fill))
        rate: Takeoff = {"value": value, "source": f"machine {machine.name}"}
        found[fill] = pinned_rate(*pin) if pin else rate
    return {"lb_per_hour": found}


def _materials(materials: Iterable[Material | None]) -> Takeoff:
    return {material.key: _material(material) for material in materials if material is not None}


def _material(material: Material) -> Takeoff:
    if material.kind == Material.Kind.BATT:
        return _batts(material)
    if material.kind == Material.Kind.FOAM_CAN:
        return {"kind": "foam_can", "like": "foam", "can_board_ft": _plain(material.can_board_ft)}
    return {
        "kind": "loose_fill",
        "bag_lb": _plain(material.bag_lb),
        **_charts(material),
        "fill_lb_per_ft3": {
            "open": _plain(material.open_lb_per_ft3),
            "dense": _plain(material.dense_lb_per_ft3),
        },
        "dense_min_lb_per_ft3": _plain(material.dense_minimum_lb_per_ft3),
        "settle": _plain(material.settle),
        "settled_lb_per_ft3": _plain(material.settled_lb_per_ft3),
        "valid_from": material.valid_from.isoformat() if material.valid_from else None,
        "valid_to": material.valid_to.isoformat() if material.valid_to else None,
    }


def _batts(material: Material) -> Takeoff:
    """Return the sizes that are kept; where none is, generic ones hold and the estimate says so."""
    names = ("r", "thickness_in", "width_in", "package_ft2")
    sizes = [_row(size, names) for size in material.batts.all()] if material.pk else []
    return {"kind": "batt", "batts": sizes} if sizes else {"kind": "batt", "like": "batts"}


def _charts(material: Material) -> Takeoff:
    names = ("r", "initial_in", "settled_in", "bags_per_1000_ft2", "ft2_per_bag")
    chart = [{**_row(row, names), "lb_per_ft2": row.lb_per_ft2} for row in material.chart.all()]
    cavities = [_row(row, ("depth_in", "r", "lb_per_ft3")) for row in material.cavity_chart.all()]
    return {"chart": chart, "cavity_chart": cavities} if cavities else {"chart": chart}


def _row(row: Model, names: Sequence[str]) -> Takeoff:
    return {name: _plain(getattr(row, name)) for name in names}


def _space(space: Space) -> Takeoff:
    """Return the columns of a space, laid over the measures that it has beyond them."""
    beyond = {name: value for name, value in space.details.items() if name not in _NO_MEASURE}
    found: Takeoff = {**beyond, "id": space.name, "kind": space.kind}
    if space.kind == Space.Kind.AIR_SEAL:
        if space.material is not None and space.material.kind == Material.Kind.FOAM_CAN:
            found["material"] = space.material.key
        return {**found, "items": [*_seal_items(space), *space.details.get("items", ())]}
    measures = {name: _plain(getattr(space, name)) for name in _MEASURES}
    found |= {name: value for name, value in measures.items() if value is not None}
    if space.kind == Space.Kind.BAFFLES:
        return found
    if space.material is not None:
        found["material"] = space.material.key
    if space.cover and space.kind == Space.Kind.SLOPE_BAYS:
        found["cover"] = space.cover
    return found


def _seal_items(space: Space) -> list[Takeoff]:
    """Return the feet of top plate, and holes.

    A sheet does not part wire from pipe holes: wire is taken.
    """
    items: list[Takeoff] = []
    if space.length_ft is not None:
        items.append({"kind": "top_plate", "ft": _plain(space.length_ft)})
    if space.count is not None:
        items.append({"kind": "wire_hole", "count": space.count})
    return items


def _plain(value: Decimal | int | None) -> str | int | None:
    """Return a number as the estimator reads it exactly."""
    if isinstance(value, Decimal):
        return format(value.normalize(), "f")
    return value


@dataclass(frozen=True)
class FieldRefused:
    """A refusal of the estimator: which space, which of its fields, and what was expected."""

    space: Space
    field: str
    sentence: Sentence


def field_refused(error: TakeoffError, spaces: Sequence[Space]) -> FieldRefused:
    """Tell where in the spaces a refusal belongs; what belongs to none is laid at the first one."""
    in_space = _IN_SPACE.match(error.path)
    if in_space:
        space, rest = spaces[int(in_space[1])], in_space[2]
        return FieldRefused(space, _field(space, rest), error.sentence)
    of_material = _OF_MATERIAL.match(error.path)
    key = of_material[1] if of_material else ""
    using = (space for space in spaces if space.material and space.material.key == key)
    space = next(using, spaces[0])
    return FieldRefused(space, "material", error.located)


def _field(space: Space, path: str) -> str:
    if path.endswith(".count"):
        return "count"
    name = re.split(r"[.\[]", path)[0]
    return _FIELDS.get(name, name if hasattr(space, name) else "kind")
