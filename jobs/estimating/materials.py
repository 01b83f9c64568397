"""Products as their labels give them, read over the defaults; knows no space and no machine."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from functools import cache

from jobs.conditions.sentences import Sentence
from jobs.conditions.sentences import marked as _
from jobs.estimating import defaults
from jobs.estimating.charts import CavityRow, ChartRow, read_cavity_row, read_row
from jobs.estimating.reading import Default, Node, Rate, TakeoffError, limits, note

FILLS = ("dense", "open")
MATERIAL_KINDS = ("loose_fill", "batt", "foam_can")


@dataclass(frozen=True, slots=True)
class Batt:
    """One batt of a product: R, inches, and the square feet of batt in a package."""

    r: Fraction
    thickness_in: Fraction
    width_in: Fraction
    package_ft2: Fraction


@dataclass(frozen=True, slots=True)
class Material:
    """A product as its label gives it; what a kind does not have stays empty."""

    name: str
    kind: str
    path: str
    default: bool
    bag_lb: Fraction | None = None
    chart: tuple[ChartRow, ...] = ()
    cavity_chart: tuple[CavityRow, ...] = ()
    fill_lb_per_ft3: Mapping[str, Fraction] = field(default_factory=dict)
    dense_min_lb_per_ft3: Fraction | None = None
    lb_per_hour: Mapping[str, Rate] = field(default_factory=dict)
    settle: Fraction | None = None
    settled_lb_per_ft3: Fraction | None = None
    batts: tuple[Batt, ...] = ()
    can_board_ft: Fraction | None = None
    valid_from: str = ""
    valid_to: str = ""

    def bag(self) -> Fraction:
        """Return the bag weight in pounds; a blow cannot be counted without it."""
        if self.bag_lb is None:
            raise TakeoffError(
                f"{self.path}.bag_lb",
                Sentence(_("is missing; expected the bag weight in lb")),
                is_missing=True,
            )
        return self.bag_lb

    def density(self, fill: str) -> Fraction:
        """Return the product's own density for an open or a dense fill, lb/ft3."""
        if fill not in self.fill_lb_per_ft3:
            path = f"{self.path}.fill_lb_per_ft3.{fill}"
            raise TakeoffError(
                path,
                Sentence(_("is missing; expected the fill density in lb/ft3")),
                is_missing=True,
            )
        return self.fill_lb_per_ft3[fill]

    def nearest_fill(self, lb_per_ft3: Fraction) -> str:
        """Tell which machine rate holds for a density: the nearer of the two; halfway, dense."""
        known = self.fill_lb_per_ft3
        return min(known, key=lambda fill: abs(known[fill] - lb_per_ft3), default="dense")


def read_materials(takeoff: Node) -> dict[str, Material]:
    """Return every material of the takeoff, and the defaults beside them. Raises TakeoffError."""
    given = takeoff.child("materials")
    names = [*defaults.MATERIALS, *(str(name) for name in given.data)]
    return {name: _read_material(given, name) for name in dict.fromkeys(names)}


def _read_material(given: Node, name: str) -> Material:
    return _read_own(given, name) if given.has(name) else _default_material(name)


@cache
def _default_material(name: str) -> Material:
    """Return a default as it stands: most of what reading a takeoff takes, so read only once."""
    return _read_own(Node({}, "materials", {}), name)


def _read_own(given: Node, name: str) -> Material:
    own = given.child(name)
    usual = name if name in defaults.MATERIALS else "none"
    like = own.choice("like", tuple(defaults.MATERIALS), usual)
    base = defaults.MATERIALS.get(like, {})
    _note_what_is_taken(own, base, like)
    node = own.over(base)
    return Material(
        name=name,
        kind=node.choice("kind", MATERIAL_KINDS),
        path=own.path,
        default=not own.data,
        bag_lb=node.maybe("bag_lb", "lb", limits(0, 200)),
        chart=tuple(read_row(row) for row in node.children("chart")),
        cavity_chart=tuple(read_cavity_row(row) for row in node.children("cavity_chart")),
        fill_lb_per_ft3=_densities(own, base),
        dense_min_lb_per_ft3=node.maybe("dense_min_lb_per_ft3", "lb/ft3", limits(0, 6)),
        lb_per_hour=_machine_rates(node, own=own.data.get("lb_per_hour") is not None),
        settle=node.maybe("settle", "of the initial depth", limits(0, "0.9", zero=True)),
        settled_lb_per_ft3=node.maybe("settled_lb_per_ft3", "lb/ft3", limits(0, 6)),
        batts=tuple(_read_batt(row) for row in node.children("batts")),
        can_board_ft=node.maybe("can_board_ft", "board-feet", limits(0, 10_000)),
        valid_from=read_date(node, "valid_from"),
        valid_to=read_date(node, "valid_to"),
    )


def _note_what_is_taken(own: Node, base: Mapping[str, object], like: str) -> None:
    source = f"default material {like}: {defaults.GENERIC}"
    for key in base if own.data else ():
        if own.data.get(key) is None and key not in ("kind", "lb_per_hour"):
            note(own.assumed, own.at(key), like, "", source)


def _densities(own: Node, base: Mapping[str, object]) -> dict[str, Fraction]:
    usual = base.get("fill_lb_per_ft3")
    node = own.child("fill_lb_per_ft3").over(usual if isinstance(usual, Mapping) else {})
    found = {fill: node.maybe(fill, "lb/ft3", limits(0, 6)) for fill in FILLS}
    return {fill: value for fill, value in found.items() if value is not None}


def _machine_rates(node: Node, *, own: bool) -> dict[str, Rate]:
    rates = node.child("lb_per_hour")
    usual = Default("0", "lb/h", defaults.MEMORY)
    found = {fill: rates.rate(fill, usual, limits(0, 20_000)) for fill in FILLS if rates.has(fill)}
    if own:
        return found
    return {
        fill: Default(str(rate.value), "lb/h", defaults.MEMORY).rate(rates.at(fill))
        for fill, rate in found.items()
    }


def read_date(node: Node, name: str) -> str:
    """Return an ISO date as text; "" where it is left out."""
    text = node.text(name)
    try:
        return date.fromisoformat(text).isoformat() if text else ""
    except ValueError:
        no_date = _("%(value)s is not a date; write it as 2027-03-01")
        raise node.fail(name, no_date, value=repr(text)) from None


def _read_batt(node: Node) -> Batt:
    return Batt(
        r=node.number("r", "R", limits(0, 200)),
        thickness_in=node.number("thickness_in", "in", limits(0, 60)),
        width_in=node.number("width_in", "in", limits(0, 120)),
        package_ft2=node.number("package_ft2", "ft2", limits(0, 10_000)),
    )
