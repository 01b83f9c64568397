"""From a takeoff to an estimate: every space by its kind, loads and totals; pure."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from jobs.conditions.sentences import marked as _
from jobs.estimating.estimated import Estimate, EstimateTotals, Load, SpaceEstimate
from jobs.estimating.exact import plain
from jobs.estimating.heat import Heat, read_heat
from jobs.estimating.labour import Minutes, priced
from jobs.estimating.means import Means, read_means
from jobs.estimating.reading import Node, Rate, note
from jobs.estimating.spaces.attic import attic_flat
from jobs.estimating.spaces.baffles import baffles
from jobs.estimating.spaces.sealing import air_seal
from jobs.estimating.spaces.slope import slope_bays
from jobs.estimating.spaces.walls import floor, knee_wall, rim, walls
from jobs.estimating.steps import SpaceReckoned, StepReckoned
from jobs.estimating.visits import Visits

FORMAT = "takeoff/1"
_KINDS: Mapping[str, Callable[[Node, Means], SpaceReckoned]] = {
    "attic_flat": attic_flat,
    "slope_bays": slope_bays,
    "walls": walls,
    "rim": rim,
    "knee_wall": knee_wall,
    "floor": floor,
    "air_seal": air_seal,
    "baffles": baffles,
}
SPACE_KINDS = tuple(_KINDS)
# Steps in the order in which they are done on a job.
STEP_ORDER = (
    "removal",
    "air_seal",
    "baffles",
    "batt",
    "net",
    "dense_fill",
    "slope_blow",
    "flat_blow",
)


@dataclass(slots=True)
class Sums:
    """Sums over the spaces, kept exact till the end."""

    loads: dict[tuple[str, str], int] = field(default_factory=dict)
    bags: dict[str, int] = field(default_factory=dict)
    persons: Fraction = field(default_factory=Fraction)
    machine: Fraction = field(default_factory=Fraction)
    half: Fraction = field(default_factory=Fraction)
    most: float = 0.0
    rates: dict[str, Rate] = field(default_factory=dict)

    def add(self, step: StepReckoned, minutes: Minutes, loads: Sequence[Load]) -> None:
        """Add one step. Steps of one job vary together, so their 80 % values add."""
        for load in step.loads:
            if load.unit == "bags":
                self.bags[load.item] = self.bags.get(load.item, 0) + load.quantity
        for load in loads:
            key = (load.item, load.unit)
            self.loads[key] = self.loads.get(key, 0) + load.quantity
        self.persons += minutes.persons
        self.machine += minutes.machine
        self.half += minutes.half
        self.most += minutes.most
        self.rates |= step.rates


def estimate_takeoff(takeoff: Mapping[str, object]) -> Estimate:
    """Return the estimate of a takeoff (`takeoff/1`, as plain JSON values).

    Numbers may be exact fractions in strings; null counts as left out. All counts are made in
    exact arithmetic. Raises TakeoffError with `.path` and `.reason` at the first field that
    cannot be right.
    """
    node = Node(takeoff, "", {})
    _check_format(node)
    means, heat = read_means(node), read_heat(node.child("heat"))
    visits, sums = Visits(node.child("visit"), means), Sums()
    spaces = tuple(
        _space(space, index, means=means, heat=heat, visits=visits, sums=sums)
        for index, space in enumerate(_spaces(node))
    )
    for rate in sums.rates.values():
        if rate.default:
            note(node.assumed, rate.path, plain(rate.value), rate.unit, rate.source)
    return Estimate(
        spaces=spaces,
        setup_person_minutes=plain(visits.main_setup_person_minutes),
        visits=visits.estimated(),
        heat=heat.estimated() if heat else None,
        loads=tuple(Load(item, number, unit) for (item, unit), number in sums.loads.items()),
        totals=_totals(sums, visits),
        assumed=tuple(sorted(node.assumed.values(), key=lambda entry: entry.path)),
        not_used=tuple(node.unread()),
    )


def _check_format(node: Node) -> None:
    if node.raw("format") != FORMAT:
        raise node.fail("format", _('expected "%(format)s"'), format=FORMAT)


def _spaces(node: Node) -> list[Node]:
    if not node.has("spaces"):
        raise node.lacks("spaces", _("is missing; expected a list of spaces"))
    spaces = node.children("spaces")
    seen: dict[str, int] = {}
    for index, space in enumerate(spaces):
        name = _name(space, index)
        if name in seen:
            twice = _("%(name)s is already the id of %(path)s")
            raise space.fail("id", twice, name=repr(name), path=f"spaces[{seen[name]}]")
        seen[name] = index
    return spaces


def _name(space: Node, index: int) -> str:
    return space.text("id") or f"space {index + 1}"


def _space(
    node: Node, index: int, *, means: Means, heat: Heat | None, visits: Visits, sums: Sums
) -> SpaceEstimate:
    kind = node.choice("kind", tuple(_KINDS))
    node.text("note")
    space = _KINDS[kind](node, means)
    visit = visits.of(node)
    steps = []
    for step in sorted(space.steps, key=lambda step: STEP_ORDER.index(step.kind)):
        estimated, minutes = priced(step, means, heat, visit)
        steps.append(estimated)
        sums.add(step, minutes, estimated.loads)
        visits.add(visit, step, minutes)
    # A doubt is about the fill, which is the last step of its space.
    main = steps[-1].kind if steps else None
    return SpaceEstimate(
        id=_name(node, index),
        kind=kind,
        warnings=tuple(doubt.warning(main) for doubt in space.doubts),
        steps=tuple(steps),
        notes=tuple(space.notes),
        markers=space.markers,
    )


def _totals(sums: Sums, visits: Visits) -> EstimateTotals:
    worked = sums.persons + visits.setup_person_minutes
    return EstimateTotals(
        bags=sums.bags,
        work_person_minutes=plain(sums.persons),
        person_minutes=plain(worked),
        machine_minutes=plain(sums.machine),
        crew_minutes_50=plain(sums.half),
        crew_minutes_80=round(sums.most, 4),
        drive_person_minutes=plain(visits.drive_person_minutes),
        paid_person_minutes=plain(worked + visits.drive_person_minutes),
    )
