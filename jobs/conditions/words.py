"""The words that conditions are spoken in; plain English, translated where they are shown."""

from collections.abc import Collection, Iterable

from jobs.conditions.sentences import marked as _

# The steps that the estimate of the spaces gives; the catalogue's words for what waits.
ESTIMATED_NAMES = {
    "air_seal": _("air sealing"),
    "baffles": _("baffles"),
    "net": _("net"),
    "batt": _("batts"),
    "dense_fill": _("dense fill"),
    "slope_blow": _("slope blow"),
    "flat_blow": _("flat blow"),
}
# And those of work that we take over from others.
STEP_NAMES = ESTIMATED_NAMES | {
    "cap_chases": _("chases capped for the builder"),
    "seal_plates": _("plates sealed for the builder"),
    "seal_boxes": _("boxes sealed for the builder"),
    "set_baffles": _("baffles set for the builder"),
    "set_chutes": _("vent chutes set for the builder"),
    "seal_attic": _("attic floor sealed for the builder"),
}
SPACE_KINDS = (
    "attic_flat",
    "slope_bays",
    "walls",
    "rim",
    "knee_wall",
    "floor",
    "air_seal",
    "baffles",
)
PARTY_NAMES = {
    "builder": _("builder"),
    "drywaller": _("drywaller"),
    "electrician": _("electrician"),
    "plumber": _("plumber"),
    "hvac": _("HVAC"),
    "roofer": _("roofer"),
    "inspector": _("inspector"),
    "owner": _("owner"),
    "tester": _("combustion tester"),
    "us": _("us"),
}
US = "us"
GATE_NAMES = {
    "stop": _("stop: safety or law"),
    "law": _("law: an authority must pass it"),
    "block": _("block: the step cannot start"),
    "warn": _("warn: the crew is told"),
    "close": _("close: needed to finish"),
}
# A step waits for these; the others only tell.
HOLDING_GATES = ("stop", "law", "block")
STATE_NAMES = {
    "owed": _("owed"),
    "promised": _("promised"),
    "reported_done": _("reported done"),
    "seen_done": _("seen done"),
    "waived": _("waived"),
    "taken_over": _("taken over"),
}
ROLES = ("owner", "office", "estimator", "crew_lead", "superintendent")
# What the work of taking a condition over is counted by: kinds of sealing, and baffles by bays.
MEASURES = {
    "chase": _("square feet of open chase or soffit"),
    "top_plate": _("feet of plate or joint"),
    "box": _("boxes"),
    "bays": _("vented bays"),
}
COVERS = ("net", "board", "none")
HOUSES = ("new", "old", "both")
# What an estimator may know of a job beyond its measures.
FACTS = {
    "two_part_foam": _("two-part foam is used"),
    "wet_spray": _("material is sprayed wet"),
    "program_home": _("the home is certified under an energy program"),
    "board_overloaded": _("the estimate finds the ceiling board overloaded"),
    "unvented_roof": _("the roof is built without vents"),
}


def known(what: str, words: Iterable[str], allowed: Collection[str]) -> frozenset[str]:
    """Return the words as a set; ValueError names the first not allowed and what would be."""
    given = list(words)
    for word in given:
        if word not in allowed:
            raise ValueError(f"{what} {word!r}: expected one of {', '.join(allowed)}")
    return frozenset(given)
