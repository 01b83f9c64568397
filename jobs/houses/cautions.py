"""Cautions for a house: what can hurt the people sent there; must not know rows, pages or dates."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from jobs.conditions.taken_over import like

# Said with every list of cautions, since no list of ours is complete.
LAST_WORD = "Local code and licensed practice decide."

BLOWN = frozenset({"flat_blow", "slope_blow", "dense_fill"})
IN_ATTIC = frozenset({"flat_blow", "slope_blow", "air_seal", "baffles"})
DRILLS_OLD_PAINT = frozenset({"dense_fill"})
AT_FLUES = frozenset({"cap_chases", "seal_attic"})
# When attics are at their hottest; without a forecast the calendar has to do (common practice).
HOT_MONTHS = frozenset({5, 6, 7, 8, 9})
LEAD_BEFORE = 1978  # 40 CFR 745.83: target housing is what was built before this year


@dataclass(frozen=True)
class Caution:
    """One thing that can hurt: a title, what to do, and where that is written.

    step_kinds: the work that brings it about, empty for any. only_old: in old houses only.
    built_before: in houses built before this year only. in_heat: only in the hot months, or only
    in the others. condition: the catalogue's code of what clears it; with_condition: it is said
    only where the house has that condition, which the measured spaces bring in.
    """

    code: str
    title: str
    text: str
    source: str
    step_kinds: frozenset[str] = frozenset()
    only_old: bool = False
    built_before: int | None = None
    in_heat: bool | None = None
    condition: str = ""
    with_condition: bool = False


CAUTIONS = (
    Caution(
        "vermiculite",
        "Vermiculite",
        "Shiny pebbles in the old fill may hold asbestos. Stay out, stir nothing, ring the office."
        " A dust mask does not protect.",
        "EPA, vermiculite insulation",
        only_old=True,
        condition="no_vermiculite",
    ),
    Caution(
        "knob_and_tube",
        "Live knob-and-tube wiring",
        "Do not touch or cover wires on porcelain knobs until an electrician has certified them.",
        "NEC 394.12(5)",
        only_old=True,
        condition="no_live_knob_and_tube",
    ),
    Caution(
        "combustion",
        "Combustion test",
        "Closing leaks changes how furnace and water heater draw. Test before, and after on the"
        " same day. If one fails, stop and ring the office.",
        "ANSI/BPI-1200",
        step_kinds=frozenset({"air_seal", "dense_fill", "flat_blow", "slope_blow"}),
        only_old=True,
        condition="combustion_test",
    ),
    Caution(
        "lead",
        "Lead paint",
        "Drilling old paint needs a certified firm and renovator, the pamphlet handed over, plastic"
        " down and clean-up.",
        "40 CFR 745.83",
        step_kinds=DRILLS_OLD_PAINT,
        built_before=LEAD_BEFORE,
        condition="lead_rule",
    ),
    Caution(
        "falls",
        "Falls through the ceiling",
        "Step on joists or walk boards only. Ceiling board does not carry a person.",
        "29 CFR 1926.501(b)(13)",
        step_kinds=IN_ATTIC,
    ),
    Caution(
        "weak_board",
        "Ceiling board too weak",
        "The planned fill is more than this board is said to carry. Do not blow, and leave no bags"
        " on it, before the office has answered for it.",
        "DOE loose-fill fact sheet (1.3 and 2.2 lb/ft²)",
        step_kinds=BLOWN,
        condition="board_carries_load",
        with_condition=True,
    ),
    Caution(
        "heat",
        "Attic heat",
        "An attic can be 40 °F hotter than outdoors. Start early, drink, rest, watch each other.",
        "FSEC-CR-1220-00",
        step_kinds=IN_ATTIC,
        in_heat=False,
    ),
    Caution(
        "heat_season",
        "Attic heat",
        "An attic can be 40 °F hotter than outdoors: 90 °F when it is 50 °F outside. Start at first"
        " light, a quart of water an hour, 15 minutes of rest every 2 hours, watch each other."
        " Confused or no longer sweating: cool the person, call 911.",
        "FSEC-CR-1220-00; OSHA's proposed 29 CFR 1910.148 (2024)",
        step_kinds=IN_ATTIC,
        in_heat=True,
    ),
    Caution(
        "respirator",
        "Respirator",
        "Wear it at the hose and at the hopper: blown cellulose makes more dust than the limit.",
        "29 CFR 1910.1000 (15 mg/m³); NIOSHTIC 20041411",
        step_kinds=BLOWN,
    ),
    Caution(
        "hot_things",
        "Recessed lights and flues",
        "Keep fill 3 in away from recessed lights not marked IC. Dam flues and chimneys with metal"
        " and keep the clearance on their label.",
        "NEC 410.116(B); IRC R302.14",
        step_kinds=BLOWN,
    ),
    Caution(
        "hot_flue",
        "Hot flues and chimneys",
        "Let them cool; ask that the furnace is off. Close the gap with sheet metal and fire-rated"
        " sealant, never foam or board, and keep the clearance on the label.",
        "IRC R302.11; the label of the flue or chimney",
        step_kinds=AT_FLUES,
    ),
    Caution(
        "foam",
        "Foam",
        "Gloves, eye protection, fresh air. Two-part foam: everybody else stays out until the time"
        " on its label is over. No foam against a flue.",
        "EPA, spray polyurethane foam; the product's label",
        step_kinds=frozenset({"air_seal"}),
    ),
)


def house_cautions(
    step_kinds: Collection[str],
    year_built: int | None,
    *,
    day: date | None = None,
    conditions: Collection[str] = (),
) -> list[Caution]:
    """Return the cautions for work of these kinds in a house of that year (None: a new house).

    What the house itself hides comes first, then what the work brings. No work, no caution.
    day: when the work is done, for the season. conditions: codes of the house's own, which its
    spaces, its age and its estimate brought in.
    """
    kinds = frozenset(step_kinds) | {like(kind) for kind in step_kinds}
    is_hot = day is not None and day.month in HOT_MONTHS
    return [
        caution
        for caution in CAUTIONS
        if kinds
        and _applies(caution, kinds, year_built)
        and caution.in_heat in (None, is_hot)
        and (not caution.with_condition or caution.condition in conditions)
    ]


def _applies(caution: Caution, kinds: frozenset[str], year_built: int | None) -> bool:
    if caution.step_kinds and not caution.step_kinds & kinds:
        return False
    if caution.only_old and year_built is None:
        return False
    if caution.built_before is None:
        return True
    return year_built is not None and year_built < caution.built_before
