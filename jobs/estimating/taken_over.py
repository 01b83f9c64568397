"""What work taken over from others needs: a takeoff of it, cover and fastenings; knows no row.

Minutes, foam and fire-rated sealant come from `estimate_takeoff` and the rates given to it; here
stand the cover and its fastenings, which no other step has.
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil, isqrt

from jobs.conditions.sentences import Sentence
from jobs.conditions.sentences import marked as _
from jobs.estimating.exact import spoken

PRACTICE = "common practice, no source"
FIRE_SOURCE = f"IRC R302.11 and the label of the flue say what may close it; sizes: {PRACTICE}"
COVER_WASTE = Fraction(1, 10)
FASTENINGS_PER_FT = 2
METAL_FT2_PER_FLUE = 4
FASTENINGS_PER_FLUE = 8
MOST = {"chase": 2_000, "top_plate": 10_000, "box": 500, "bays": 1_000}
MOST_FLUES = 10
MOST_LENGTH_FT = 60
COUNTED = ("box", "bays")
WITH_FLUES = ("chase", "top_plate")


class MeasureError(ValueError):
    """A measure that cannot be; `field` is the one, the sentence says what was expected."""

    def __init__(self, field: str, expected: Sentence) -> None:
        super().__init__(f"{field}: {expected}")
        self.field, self.expected = field, expected


@dataclass(frozen=True)
class Taken:
    """How much of it there is: square feet of open chase, feet of plate, boxes or bays.

    flues: flues and chimneys that pass there; each takes metal and fire-rated sealant, no foam.
    length_ft: of a bay that needs more than one piece; None for one piece a bay.
    """

    measure: str
    amount: Decimal
    flues: int = 0
    length_ft: Decimal | None = None


@dataclass(frozen=True)
class Reckoned:
    """One figure with its formula in numbers and where it comes from."""

    figure: str
    value: int
    unit: str
    with_numbers: str
    source: str


def taken_check(taken: Taken) -> None:
    """Do nothing where the measures can be; raise MeasureError naming the first that cannot."""
    if taken.measure not in MOST:
        raise _wrong("measure", _("expected one of %(choices)s"), choices=", ".join(MOST))
    most = MOST[taken.measure]
    if not taken.amount.is_finite() or not 0 <= taken.amount <= most:
        raise _wrong("amount", _("expected 0 to %(most)s"), most=f"{most:,}")
    if taken.measure in COUNTED and taken.amount != int(taken.amount):
        raise _wrong("amount", _("expected a whole number"))
    if not 0 <= taken.flues <= MOST_FLUES:
        raise _wrong("flues", _("expected 0 to %(most)s"), most=str(MOST_FLUES))
    if taken.flues and taken.measure not in WITH_FLUES:
        raise _wrong("flues", _("expected none: no flue passes there"))
    if not taken.amount and not taken.flues:
        raise _wrong("amount", _("expected more than 0"))
    _length_check(taken)


def _wrong(field: str, template: str, **values: str) -> MeasureError:
    return MeasureError(field, Sentence(template, values))


def _length_check(taken: Taken) -> None:
    if taken.length_ft is None:
        return
    if taken.measure != "bays":
        raise _wrong("length_ft", _("expected none: only bays have a length"))
    if not taken.length_ft.is_finite() or not 0 < taken.length_ft <= MOST_LENGTH_FT:
        raise _wrong(
            "length_ft", _("expected more than 0, at most %(most)s"), most=str(MOST_LENGTH_FT)
        )


def taken_takeoff(taken: Taken) -> dict[str, object]:
    """Return the takeoff/1 of that work as one space; the caller lays rates over it."""
    amount = format(taken.amount.normalize(), "f")
    space: dict[str, object] = {"id": "taken over"}
    if taken.measure == "bays":
        space |= {"kind": "baffles", "bays": int(taken.amount)}
        if taken.length_ft is not None:
            space["length_ft"] = format(taken.length_ft.normalize(), "f")
    else:
        unit = {"chase": "ft2", "top_plate": "ft", "box": "count"}[taken.measure]
        items: list[dict[str, object]] = []
        if taken.amount:
            items.append({"kind": taken.measure, unit: amount})
        if taken.flues:
            items.append({"kind": "flue", "count": taken.flues})
        space |= {"kind": "air_seal", "items": items}
    return {"format": "takeoff/1", "spaces": [space]}


def taken_cover(taken: Taken) -> list[Reckoned]:
    """Reckon rigid cover and sheet metal in whole square feet, and the fastenings of both.

    Cover: the open area and a tenth for cutting. Its fastenings: every 6 in around one square
    opening of that area, whose edge is 4 x root of the area. At a flue or chimney nothing that
    burns comes near: a metal collar of 4 ft2 with 8 fastenings.
    """
    found = []
    area = Fraction(taken.amount) if taken.measure == "chase" else Fraction(0)
    edge, flues = cover_fastenings(area), taken.flues * FASTENINGS_PER_FLUE
    if area:
        numbers = f"{spoken(area)} x {spoken(1 + COVER_WASTE)}, rounded up"
        cover = ceil(area * (1 + COVER_WASTE))
        found.append(Reckoned("rigid_cover", cover, "ft2", numbers, PRACTICE))
    if taken.flues:
        metal, numbers = METAL_FT2_PER_FLUE * taken.flues, f"{taken.flues} x {METAL_FT2_PER_FLUE}"
        found.append(Reckoned("sheet_metal", metal, "ft2", numbers, FIRE_SOURCE))
    if edge + flues:
        numbers = (
            f"{FASTENINGS_PER_FT} x 4 x root of {spoken(area)}, rounded up, + {flues} at flues"
        )
        found.append(Reckoned("fastenings", edge + flues, "pieces", numbers, PRACTICE))
    return found


def cover_fastenings(area_ft2: Fraction) -> int:
    """Return 2 a foot x 4 x root of area in feet, rounded up without float: root of 64 x area."""
    under_root = ceil((FASTENINGS_PER_FT * 4) ** 2 * area_ft2)
    return isqrt(under_root - 1) + 1 if under_root else 0


def charge_cents(person_minutes: int, cents_per_hour: int) -> int:
    """Return minutes x rate / 60 in whole cents, half a cent up."""
    return (2 * person_minutes * cents_per_hour + 60) // 120
