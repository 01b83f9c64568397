"""What the work is done with: materials, machine, hands, people; read once per takeoff."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from jobs.conditions.sentences import marked as _
from jobs.estimating import defaults
from jobs.estimating.blowing import Machine, read_machine
from jobs.estimating.codes import Code, read_code
from jobs.estimating.learning import Learned, read_learned
from jobs.estimating.materials import Material, read_date, read_materials
from jobs.estimating.reading import Node, Rate, limits, not_one_of, note
from jobs.estimating.sealing_items import SealItem, read_seal_items

MOST_PEOPLE = 12
_MINUTES = limits(0, 10_000, zero=True)


@dataclass(frozen=True, slots=True)
class Means:
    """Every figure of a takeoff that is not a measure of a space."""

    materials: Mapping[str, Material]
    machine: Machine
    hand: Mapping[str, Rate]
    seal_items: Mapping[str, SealItem]
    people: int
    loss: Rate
    marker_ft2: Rate
    learned: Mapping[str, Learned]
    on_date: str
    code: Code | None

    def material(self, space: Node, kind_of_space: str) -> Material:
        """Return the material of a space by name; left out, the usual one for its kind of space."""
        name = space.text("material")
        if not name:
            name = defaults.MATERIAL_OF_SPACE[kind_of_space]
            note(space.assumed, space.at("material"), name, "", "the usual one for such a space")
        if name not in self.materials:
            raise not_one_of(space, "material", name, sorted(self.materials))
        return self.materials[name]


def read_means(takeoff: Node) -> Means:
    """Read everything but the spaces. Raises TakeoffError."""
    people = takeoff.measure("people", defaults.PEOPLE, limits(0, MOST_PEOPLE))
    if people.denominator != 1:
        raise takeoff.fail("people", _("is not a whole number"))
    hand = takeoff.child("hand")
    return Means(
        materials=read_materials(takeoff),
        machine=read_machine(takeoff.child("machine"), takeoff.child("hose_hand")),
        hand={name: hand.rate(name, default, _MINUTES) for name, default in defaults.HAND.items()},
        seal_items=read_seal_items(takeoff.child("air_seal")),
        people=people.numerator,
        loss=hand.rate("loss_per_person", defaults.LOSS_PER_PERSON, limits(0, "0.5", zero=True)),
        marker_ft2=takeoff.rate("marker_ft2", defaults.MARKER_FT2, limits(0, 10_000)),
        learned=read_learned(takeoff.child("learned")),
        on_date=read_date(takeoff, "date"),
        code=read_code(takeoff.child("code")),
    )


def hand_divisor(people: int, loss: Fraction) -> Fraction:
    """Return the divisor of hand work: people x (1 - loss x (people - 2)), no loss to two.

    Where one more would only be in the way, that one is taken to wait: the best of fewer holds.
    """
    return max(size * (1 - loss * max(0, size - 2)) for size in range(1, people + 1))
