"""The rates of a branch as a takeoff takes them: pinned, learned, and how the yard works.

Reads two tables of the contractor's; writes nothing and knows no job.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal

from contractor.models import Branch, LearnedRate, Machine, Material, PinnedRate
from jobs.estimating.defaults import RATES, SPANS
from jobs.models import Space, Step

_LEARNED = "learned."
# A machine's own rates stand in its row, so that a branch's one rate of "the machine" says nothing.
OF_MACHINES = ("machine.lb_per_hour.open", "machine.dense_share")
PATHS = tuple(path for path in RATES if path not in OF_MACHINES)
FILLS = ("open", "dense")
BLOWN = frozenset({Step.Kind.DENSE_FILL, Step.Kind.SLOPE_BLOW, Step.Kind.FLAT_BLOW})

Node = dict[str, object]


@dataclass(frozen=True)
class BranchRates:
    """What holds for the takeoffs of one branch on a day, beside the machine and the materials.

    pinned: value and reason by path. learned: by kind of step, key of material and name of
    machine, each of the last two empty where it is of all of them.
    """

    pinned: Mapping[str, tuple[Decimal, str]] = field(default_factory=dict)
    learned: Mapping[tuple[str, str, str], LearnedRate] = field(default_factory=dict)
    branch: Branch | None = None
    today: date | None = None

    def bare(self) -> "BranchRates":
        """Return the same, nothing learned and no hot day: against this, finished work is held."""
        pinned = {path: pin for path, pin in self.pinned.items() if not path.startswith(_LEARNED)}
        branch = self.branch and Branch(hose_ft=self.branch.hose_ft, lift_ft=self.branch.lift_ft)
        return replace(self, pinned=pinned, learned={}, branch=branch)

    def of_step(self, kind: str, material: str, machine: str) -> LearnedRate | None:
        """Return what was learned of a kind of step, by the narrowest record that has any job."""
        wanted = ((material, machine), (material, ""), ("", machine), ("", ""))
        found = (self.learned.get((kind, *means)) for means in wanted)
        return next((rate for rate in found if rate is not None), None)


def branch_rates(branch: Branch, today: date | None) -> BranchRates:
    """Read the rates of a branch; two statements. today: the day on which charts must hold."""
    return BranchRates(
        pinned={
            pin.path: (pin.value, pin.because) for pin in PinnedRate.objects.filter(branch=branch)
        },
        learned={
            (rate.step_kind, rate.material_key, rate.machine_name): rate
            for rate in LearnedRate.objects.filter(branch=branch)
        },
        branch=branch,
        today=today,
    )


def machine_path(machine: Machine, fill: str) -> str:
    """Return the path under which the rate of one machine is pinned."""
    return f"machine-{machine.pk}.{fill}"


def learned_path(kind: str) -> str:
    """Return under which path the learned factor of a kind of step is pinned."""
    return _LEARNED + kind


def rates_into(
    takeoff: Node, rates: BranchRates, spaces: Iterable[Space], machine: Machine | None
) -> None:
    """Lay the branch's rates into a takeoff that has its machine and its spaces already."""
    for path in PATHS:
        if path in rates.pinned:
            _put(takeoff, path, pinned_rate(*rates.pinned[path]))
    if rates.branch is not None:
        _put_yard(takeoff, rates.branch)
    if rates.today is not None:
        takeoff["date"] = rates.today.isoformat()
    learned = _learned(rates, spaces, machine)
    if learned:
        takeoff["learned"] = learned


def pinned_rate(value: Decimal, because: str) -> Node:
    """Return a rate of a takeoff that was set by hand."""
    return {"value": plain(value), "pinned_because": because}


def plain(value: Decimal) -> str:
    """Return a number as the estimator reads it exactly."""
    return format(value.normalize(), "f")


def _put(takeoff: Node, path: str, value: object) -> None:
    node: Node = takeoff
    *folders, name = path.split(".")
    for folder in folders:
        inner = node.setdefault(folder, {})
        assert isinstance(inner, dict)  # noqa: S101 - a takeoff's folders are objects
        node = inner
    node[name] = value


def _put_yard(takeoff: Node, branch: Branch) -> None:
    if branch.hose_ft is not None:
        _put(takeoff, "machine.hose_ft", branch.hose_ft)
    if branch.lift_ft is not None:
        _put(takeoff, "machine.lift_ft", branch.lift_ft)
    if branch.heat_on:
        takeoff["heat"] = {"on": True, "outdoor_f": branch.heat_outdoor_f}
    if branch.code_edition is not None:
        takeoff["code"] = {
            "edition": branch.code_edition,
            "zone": branch.climate_zone,
            "marine": branch.zone_is_marine,
        }


def _learned(rates: BranchRates, spaces: Iterable[Space], machine: Machine | None) -> Node:
    materials = step_materials(spaces)
    name = machine.name if machine else ""
    found: Node = {}
    for kind in SPANS:
        rate = rates.of_step(kind, materials.get(kind, ""), name if kind in BLOWN else "")
        pin = rates.pinned.get(learned_path(kind))
        if rate is not None or pin is not None:
            found[kind] = _factor(rate, pin)
    return found


def _factor(rate: LearnedRate | None, pin: tuple[Decimal, str] | None) -> Node:
    """Return a factor of the minutes; a pinned one keeps the spread and bags that were learned."""
    node: Node = {}
    if rate is not None:
        node |= {
            "minutes_factor": plain(rate.minutes_factor),
            "sigma": plain(rate.sigma),
            "bags_factor": plain(rate.bags_factor),
            "jobs": rate.jobs,
        }
    if pin is not None:
        node |= {"minutes_factor": plain(pin[0]), "pinned_because": pin[1]}
    return node


def step_materials(spaces: Iterable[Space]) -> dict[str, str]:
    """Return the key of the one material of each kind of step; no entry where there are several."""
    found: dict[str, set[str]] = {}
    for space in spaces:
        if space.material is not None:
            found.setdefault(_step_of(space, space.material), set()).add(space.material.key)
    return {kind: next(iter(keys)) for kind, keys in found.items() if len(keys) == 1}


def _step_of(space: Space, material: Material) -> str:
    """Return the kind of step that puts the material of a space in."""
    by_kind = {
        Space.Kind.ATTIC_FLAT: Step.Kind.FLAT_BLOW,
        Space.Kind.SLOPE_BAYS: Step.Kind.SLOPE_BLOW,
        Space.Kind.AIR_SEAL: Step.Kind.AIR_SEAL,
        Space.Kind.BAFFLES: Step.Kind.BAFFLES,
    }
    walled = Step.Kind.BATT if material.kind == Material.Kind.BATT else Step.Kind.DENSE_FILL
    return str(by_kind.get(Space.Kind(space.kind), walled))
