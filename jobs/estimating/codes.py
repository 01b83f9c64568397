"""Code targets by edition and climate zone, their exceptions, roof vents: suggestions, as data.

A state or town adopts and amends an edition; the adopted local code decides. 2024 is left out:
what could be read of it contradicts itself.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from jobs.conditions.sentences import Sentence
from jobs.conditions.sentences import marked as _
from jobs.estimating.reading import Node, TakeoffError, limits

LOCAL = "The adopted local code decides."
READ = "PNNL Building America Solution Center, 2009-2021 IECC and IRC minimum insulation"
MEMORY = "from memory of the IECC table, not read"
_13 = ("13",)
_20 = ("20", "13+5")
_20_PLUS = ("20+5", "13+10")
_30 = ("30", "20+5ci", "13+10ci", "0+20ci")
_ONE = ("13", "0+10ci")
_THREE = ("20", "13+5ci", "0+15ci")


@dataclass(frozen=True, slots=True)
class Edition:
    """One edition's table: ceiling R and wood-frame wall options for zones 1 to 8."""

    table: str
    source: str
    ceiling_r: tuple[int, ...]
    wall: tuple[tuple[str, ...], ...]
    heel: Mapping[int, int]
    share: Fraction | None


_TO_2018 = {38: 30, 49: 38}
_SHARE = Fraction(1, 5)
_2015_CEILING = (30, 38, 38, 49, 49, 49, 49, 49)
_2015_WALL = (_13, _13, _20, _20, _20, _20_PLUS, _20_PLUS, _20_PLUS)
EDITIONS: Mapping[int, Edition] = {
    2009: Edition(
        "IECC 2009 table 402.1.1",
        MEMORY,
        (30, 30, 30, 38, 38, 49, 49, 49),
        (_13, _13, _13, _13, _20, _20, ("21",), ("21",)),
        _TO_2018,
        None,
    ),
    2012: Edition("IECC 2012 table R402.1.1", MEMORY, _2015_CEILING, _2015_WALL, _TO_2018, _SHARE),
    2015: Edition("IECC 2015 table R402.1.2", READ, _2015_CEILING, _2015_WALL, _TO_2018, _SHARE),
    2018: Edition("IECC 2018 table R402.1.2", READ, _2015_CEILING, _2015_WALL, _TO_2018, _SHARE),
    2021: Edition(
        "IECC 2021 table R402.1.3",
        READ,
        (30, 49, 49, 60, 60, 60, 60, 60),
        (_ONE, _ONE, _THREE, _30, _30, _20_PLUS, _20_PLUS, _20_PLUS),
        {49: 38, 60: 49},
        _SHARE,
    ),
}
MARINE_AS_ZONE = 5
MOST_EXCEPTED_FT2 = 500
EXCEPTED_R = 30


@dataclass(frozen=True, slots=True)
class Target:
    """What a table suggests for a zone, with the table's name and how it was come by."""

    edition: int
    zone: int
    ceiling_r: int
    wall: tuple[str, ...]
    table: str
    source: str

    def sentence(self) -> str:
        """Return the suggestion as it is told, with who decides."""
        walls = " or ".join(self.wall)
        return (
            f"{self.table}, zone {self.zone}: ceiling R-{self.ceiling_r}, wood-frame wall"
            f" R-{walls} ({self.source}). {LOCAL}"
        )


@dataclass(frozen=True, slots=True)
class Excepted:
    """A ceiling without an attic: the area that R-30 may serve, and the rest at full R."""

    covered_ft2: Fraction
    full_ft2: Fraction
    source: str


class CodeError(ValueError):
    """An edition or a zone that is not in the tables; `field` is which of the two."""

    def __init__(self, field: str, sentence: Sentence) -> None:
        super().__init__(str(sentence))
        self.field, self.sentence = field, sentence


def code_target(edition: int, zone: int, *, marine: bool = False) -> Target:
    """Return the table's R for a climate zone; marine zone 4 counts as zone 5.

    Raises CodeError for an edition or zone that is not in the tables.
    """
    if edition not in EDITIONS:
        known = ", ".join(str(year) for year in EDITIONS)
        wrong = _("%(edition)s is not among the editions %(known)s")
        raise CodeError("edition", Sentence(wrong, {"edition": str(edition), "known": known}))
    if not 1 <= zone <= 8:
        wrong = _("%(zone)s is not a climate zone from 1 to 8")
        raise CodeError("zone", Sentence(wrong, {"zone": str(zone)}))
    table = EDITIONS[edition]
    row = (MARINE_AS_ZONE if marine and zone == 4 else zone) - 1
    return Target(edition, zone, table.ceiling_r[row], table.wall[row], table.table, table.source)


def raised_heel_r(required_r: int, edition: int) -> int | None:
    """Return the R that is enough at full height over the wall plate (R402.2.1); None if none.

    R-30 for R-38 and R-38 for R-49 to 2018; R-38 for R-49 and R-49 for R-60 in 2021, the latter
    from memory.
    """
    return EDITIONS[edition].heel.get(required_r)


def ceiling_without_attic(
    cathedral_ft2: Fraction, total_ceiling_ft2: Fraction, edition: int
) -> Excepted:
    """Tell how much of a ceiling without room R-30 may serve (R402.2.2).

    500 ft2 at most; from 2012 on (from memory) also at most 20 % of the insulated ceiling. Not
    on the U-factor or total-UA path.
    """
    share = EDITIONS[edition].share
    most = Fraction(MOST_EXCEPTED_FT2)
    if share is not None:
        most = min(most, share * total_ceiling_ft2)
    covered = min(cathedral_ft2, most)
    return Excepted(covered, cathedral_ft2 - covered, f"IECC {edition} R402.2.2; 20 % from memory")


def vent_area_in2(area_ft2: Fraction, ratio: int) -> Fraction:
    """Return roof vents' net free area, in2, at 1/150 or 1/300 of the area (IRC R806.2)."""
    if ratio not in (150, 300):
        raise ValueError(f"{ratio} is neither 150 nor 300")
    return area_ft2 * 144 / ratio


def vent_sentence(area_ft2: Fraction) -> str:
    """Say both areas, with the condition of the smaller one."""
    small, large = (float(vent_area_in2(area_ft2, ratio)) for ratio in (300, 150))
    return (
        f"Roof vents: {large:,.0f} in2 net free area at 1/150; {small:,.0f} in2 at 1/300 where"
        " 40 to 50 % of it lies within 3 ft of the ridge and, in zones 6 to 8, a class I or II"
        f" vapour retarder is on the warm side (IRC R806.2). {LOCAL}"
    )


@dataclass(frozen=True, slots=True)
class Code:
    """The code that a takeoff names, for suggestions."""

    target: Target
    total_ceiling_ft2: Fraction | None

    @property
    def edition(self) -> int:
        """The year of the edition."""
        return self.target.edition


def read_code(node: Node) -> Code | None:
    """Return the takeoff's edition and zone; None where it names none."""
    if not node.has("edition"):
        return None
    edition, zone = node.whole("edition", default=None), node.whole("zone", default=None)
    try:
        target = code_target(edition, zone, marine=node.flag("marine"))
    except CodeError as error:
        raise TakeoffError(node.at(error.field), error.sentence) from None
    return Code(target, node.maybe("total_ceiling_ft2", "ft2", limits(0, 1_000_000)))
