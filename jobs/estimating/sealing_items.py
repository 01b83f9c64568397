"""Counted items of air sealing: minutes, foam and sealant per unit; knows no space."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from jobs.conditions.sentences import marked as _
from jobs.estimating import defaults
from jobs.estimating.reading import Default, Node, Rate, limits


@dataclass(frozen=True, slots=True)
class SealItem:
    """What one unit of an item takes: person-minutes, board-feet of foam, tubes of sealant."""

    unit: str
    minutes: Rate
    board_ft: Rate
    tubes: Fraction


def read_seal_items(node: Node) -> dict[str, SealItem]:
    """Return the items with the takeoff's own minutes and board-feet laid over the defaults."""
    return {kind: _read_item(node.child(kind), kind) for kind in defaults.AIR_SEAL}


def _read_item(node: Node, kind: str) -> SealItem:
    unit, minutes, board_ft, tubes = defaults.AIR_SEAL[kind]
    each = "each" if unit == "count" else f"per {unit}"
    zero = limits(0, 1000, zero=True)
    source = defaults.AIR_SEAL_SOURCE
    foam = node.rate("board_ft", Default(board_ft, f"board-ft {each}", source), zero)
    if kind == "flue" and foam.value:
        raise node.fail(
            "board_ft", _("must be 0; a flue gets metal and fire-rated sealant, never foam")
        )
    return SealItem(
        unit=unit,
        minutes=node.rate("minutes", Default(minutes, f"person-min {each}", source), zero),
        board_ft=foam,
        tubes=Fraction(tubes),
    )


UNITS: Mapping[str, str] = {kind: row[0] for kind, row in defaults.AIR_SEAL.items()}
