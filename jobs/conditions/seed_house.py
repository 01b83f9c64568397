"""Seed of the catalogue: roof, trades, inspections, walls and slopes. Data only.

Lead days are working days as sites usually need them (common practice, no source).
"""

from dataclasses import replace

from jobs.conditions.catalogue import CatalogueEntry, LagAfter
from jobs.conditions.sentences import marked as _
from jobs.conditions.words import STEP_NAMES

ALL_STEPS = tuple(STEP_NAMES)
CAVITY_FILLS = ("batt", "dense_fill", "slope_blow")
BLOWS = ("dense_fill", "slope_blow", "flat_blow")
FILLS = (*CAVITY_FILLS, "flat_blow")
# What an inspector or rater must see before board goes over it.
SEEN_BEFORE_BOARD = frozenset(CAVITY_FILLS)
# Work on top of the ceiling board: it waits for all that the board itself waits for.
ABOVE_BOARD = ("air_seal", "flat_blow")
WALL_SPACES = frozenset({"walls", "rim", "knee_wall"})

TRADES = (
    CatalogueEntry(
        code="permit_issued",
        name=_("permit issued"),
        owed_by="builder",
        gate="block",
        holds=ALL_STEPS,
        consequence=_("Work without a permit can be stopped by the town and opened up again."),
        source="IRC R105.1 (from memory)",
        lead_days=5,
    ),
    CatalogueEntry(
        code="roof_dried_in",
        name=_("roof dried in, flashings on"),
        owed_by="roofer",
        gate="block",
        holds=ALL_STEPS,
        consequence=_("Rain wets the insulation and it has to be torn out."),
        source="IRC R109.1.4 (framing is inspected with the roof in place)",
        houses="new",
        lead_days=3,
    ),
    CatalogueEntry(
        code="no_active_leak",
        name=_("roof free of leaks"),
        owed_by="roofer",
        gate="stop",
        holds=FILLS,
        consequence=_("A leak soaks the fill, rots the framing and brings the ceiling down."),
        source="DOE/NREL Standard Work Specifications, attic: no active leaks",
        lead_days=3,
    ),
    CatalogueEntry(
        code="windows_doors_in",
        name=_("windows and outside doors in"),
        owed_by="builder",
        gate="block",
        holds=CAVITY_FILLS,
        consequence=_("Rain and wind reach the work, and gaps around frames cannot be sealed."),
        source="Municipal rough-stage lists: completely dried in",
        houses="new",
        lead_days=5,
    ),
    CatalogueEntry(
        code="plumbing_rough_passed",
        name=_("plumbing rough passed"),
        owed_by="plumber",
        gate="law",
        holds=("net", *CAVITY_FILLS),
        consequence=_("Pipes covered before they are passed are uncovered at our cost."),
        source="IRC R109.1.2",
        houses="new",
        lead_days=2,
    ),
    CatalogueEntry(
        code="electrical_rough_passed",
        name=_("electrical rough passed, wires stapled"),
        owed_by="electrician",
        gate="law",
        holds=("net", *CAVITY_FILLS),
        consequence=_("Wires covered before they are passed are uncovered at our cost."),
        source="IRC R109.1.2; Durham NC inspection list",
        houses="new",
        lead_days=2,
    ),
    CatalogueEntry(
        code="hvac_rough_passed",
        name=_("HVAC and gas rough passed, ducts sealed"),
        owed_by="hvac",
        gate="law",
        holds=("net", *FILLS),
        consequence=_("Ducts are uncovered for the inspector and the attic fill is trampled."),
        source="IRC R109.1.2; Durham NC inspection list",
        houses="new",
        lead_days=2,
    ),
    CatalogueEntry(
        code="framing_inspection",
        name=_("framing and fireblocking inspection passed"),
        owed_by="builder",
        gate="law",
        holds=ALL_STEPS,
        consequence=_("The inspector orders the framing exposed again."),
        source="IRC R109.1.4; R302.11",
        houses="new",
        lead_days=2,
    ),
    CatalogueEntry(
        code="insulation_inspection",
        name=_("insulation inspection passed"),
        owed_by="builder",
        gate="law",
        holds=ABOVE_BOARD,
        consequence=_("Board hung before the inspection comes down again."),
        source="Durham NC inspection list: insulation before wall and ceiling material",
        houses="new",
        lead_days=1,
        lag_after=LagAfter(SEEN_BEFORE_BOARD, trade_days=1, only_then=True),
    ),
    CatalogueEntry(
        code="rater_visit",
        name=_("rater's visit before board made"),
        owed_by="builder",
        gate="block",
        holds=ABOVE_BOARD,
        consequence=_("A home not seen before board loses its certificate."),
        source="Duke Energy residential new construction note, 2017",
        houses="new",
        only_with=frozenset({"program_home"}),
        lead_days=3,
        lag_after=LagAfter(SEEN_BEFORE_BOARD, trade_days=0, only_then=True),
    ),
)

CAVITIES = (
    CatalogueEntry(
        code="chases_capped",
        name=_("chases and dropped soffits capped"),
        owed_by="builder",
        gate="block",
        holds=FILLS,
        consequence=_("Fill drops into the chase, the R is lost and the leakage test fails."),
        source="IECC Table R402.4.1.1; DOE/NREL Standard Work Specifications: escape openings",
        may_take_over=True,
        lead_days=1,
    ),
    CatalogueEntry(
        code="tub_wall_first",
        name=_("wall behind tub insulated before tub is set"),
        owed_by="builder",
        gate="warn",
        holds=("batt",),
        consequence=_("Behind a tub that is set the wall cannot be insulated any more."),
        source="IECC Table R402.4.1.1; Durham NC: early inspection of concealed areas",
        houses="new",
        spaces=frozenset({"walls"}),
        lead_days=1,
    ),
    CatalogueEntry(
        code="plates_sealed",
        name=_("plates, holes, window gaps and rim sealed"),
        owed_by="builder",
        gate="block",
        holds=("batt", "dense_fill"),
        consequence=_("The leaks are buried and the house fails its leakage test."),
        source="IECC R402.4 and Table R402.4.1.1",
        houses="new",
        spaces=WALL_SPACES,
        may_take_over=True,
        follows=frozenset({"air_seal"}),
        lead_days=1,
    ),
    # The builder owes it and says who does it: foam behind a box is no electrician's work.
    CatalogueEntry(
        code="boxes_sealed",
        name=_("boxes in outside walls sealed"),
        owed_by="builder",
        gate="warn",
        holds=("batt", "dense_fill"),
        consequence=_("Air leaks through every outlet of the outside walls."),
        source="IECC Table R402.4.1.1",
        houses="new",
        spaces=WALL_SPACES,
        may_take_over=True,
        lead_days=1,
    ),
    CatalogueEntry(
        code="framing_dry",
        name=_("framing dry"),
        owed_by="builder",
        gate="warn",
        holds=CAVITY_FILLS,
        consequence=_("Wet wood closed in grows mould; 19 % moisture is the usual limit."),
        source="Common practice, no source",
        houses="new",
    ),
    CatalogueEntry(
        code="framing_dry_wet_spray",
        name=_("framing dry enough for wet spray"),
        owed_by="builder",
        gate="block",
        holds=("dense_fill", "slope_blow"),
        consequence=_("Spray on wet wood does not dry out and grows mould."),
        source="Common practice, no source",
        houses="new",
        only_with=frozenset({"wet_spray"}),
    ),
    CatalogueEntry(
        code="wall_cover_up",
        name=_("net or board up at walls"),
        owed_by="drywaller",
        gate="block",
        holds=("dense_fill",),
        consequence=_("Without a cover the fill blows out into the room."),
        source="Common practice, no source",
        houses="new",
        spaces=frozenset({"walls", "knee_wall", "floor"}),
        follows=frozenset({"net"}),
        lead_days=2,
    ),
)

SLOPE_VENTS = CatalogueEntry(
    code="slope_vents",
    name="vent chutes in every rafter bay",
    owed_by="builder",
    gate="block",
    holds=("slope_blow",),
    consequence="The fill blocks the vent and the roof fails inspection.",
    source="IRC R806.3: at least 1 in clear to the sheathing",
    spaces=frozenset({"slope_bays"}),
    covers=frozenset({"net", "none"}),
    not_with=frozenset({"unvented_roof"}),
    may_take_over=True,
    follows=frozenset({"baffles"}),
    lead_days=1,
)

SLOPES = (
    SLOPE_VENTS,
    # Once board is up nobody can set chutes any more. An old closed slope has none to wait for.
    replace(
        SLOPE_VENTS,
        code="slope_vents_behind_board",
        name=_("vent chutes set before board"),
        houses="new",
        covers=frozenset({"board"}),
        may_take_over=False,
    ),
    CatalogueEntry(
        code="net_stapled",
        name=_("net stapled at slopes"),
        owed_by="us",
        gate="block",
        holds=("slope_blow",),
        consequence=_("Fill blows out between loose staples."),
        source="Common practice, no source",
        covers=frozenset({"net"}),
        follows=frozenset({"net"}),
    ),
    CatalogueEntry(
        code="slope_board_up",
        name=_("board hung and screwed at slopes"),
        owed_by="drywaller",
        gate="block",
        holds=("slope_blow",),
        consequence=_("Board under 1/2 in at 16 in or 5/8 in at 24 in pops off under the fill."),
        source="Utah weatherization guide (secondary)",
        houses="new",
        covers=frozenset({"board"}),
        lead_days=2,
    ),
    CatalogueEntry(
        code="slope_cover_up",
        name=_("net or board up at open slopes"),
        owed_by="builder",
        gate="block",
        holds=("slope_blow",),
        consequence=_("Open bays cannot hold a fill."),
        source="Common practice, no source",
        covers=frozenset({"none"}),
        lead_days=2,
    ),
)

HOUSE = (*TRADES, *CAVITIES, *SLOPES)
