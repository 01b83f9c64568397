"""What holds where a takeoff is silent: invented generic materials and prior rates, with sources.

Every figure here is a prior. Public figures on blowing are thin and differ fourfold, so the
contractor's own rates replace them; an estimate says of each whether it is still the default.
"""

from collections.abc import Mapping

from jobs.estimating.reading import Default

GENERIC = "invented generic product; the label of the product on the truck governs"
PRACTICE = "common practice, no source"
MEMORY = "from memory, a prior to be replaced by finished jobs"
SPAN = "prior; the span is stated from memory, public figures differ fourfold"

PEOPLE = Default("2", "people", "two are the least on a blow: hopper and hose")

# --- machine, feeder, hose hand -------------------------------------------------------------
OPEN_LB_PER_HOUR = Default("3200", "lb/h", f"truck-mounted machine, span 2,000 to 3,600; {MEMORY}")
DENSE_SHARE = Default("0.4", "of the open rate", "span 0.15 to 0.5; one owner's log gives 0.4")
FEED_BAGS_PER_HOUR = Default("60", "bags/h", f"two people open about one bag a minute; {MEMORY}")
SPREAD_FT2_PER_HOUR = Default("2400", "ft2/h", f"what a hose hand spreads on a flat; {MEMORY}")
MINUTES_PER_BAY = Default("1.7", "min", f"push the hose in and draw it back, per bay; {PRACTICE}")
MINUTES_PER_CAVITY = Default("1", "min", f"move the hose from cavity to cavity; {PRACTICE}")
RATED_HOSE_FT = Default("100", "ft", "hose at which vendors rate a machine (technical notes)")
RATED_LIFT_FT = Default("12", "ft", "lift at which vendors rate a machine (technical notes)")
HOSE_LOSS = Default("0.002", "of the rate per ft beyond the rated hose", MEMORY)
LIFT_LOSS = Default("0.005", "of the rate per ft beyond the rated lift", MEMORY)

# --- hand work, in person-minutes -------------------------------------------------------------
LOSS_PER_PERSON = Default("0.05", "lost per person beyond two, on hand work", MEMORY)
MARKER_MINUTES = Default("1", "person-min each", MEMORY)
HATCH_MINUTES = Default("15", "person-min for each hatch's dam and lid", MEMORY)
DAM_MINUTES_PER_FT = Default("2", "person-min/ft", MEMORY)
MASKING_MINUTES = Default("0.5", "person-min/ft2 of masking", MEMORY)
BAFFLE_MINUTES = Default("4.5", "person-min each", f"span 3 to 6; {MEMORY}")
BATT_MINUTES_PER_FT2 = Default("0.42", "person-min/ft2", "7 labour-hours per 1,000 ft2; " + SPAN)
NET_MINUTES_PER_FT2 = Default(
    "0.6", "person-min/ft2", "10 of the 16 labour-hours per 1,000 ft2 behind net; " + SPAN
)
REMOVAL_MINUTES_PER_FT2 = Default(
    "0.18",
    "person-min/ft2",
    "0.003 craft-hours/ft2: 2018 National Home Improvement Estimator, p. 533",
)
SETUP_BLOW = Default(
    "120", "person-min", "one crew-hour of two for set-up, hose and clean-up; " + SPAN
)
SETUP_HAND = Default("30", "person-min", f"hand work alone needs no hose run; {MEMORY}")

HAND: Mapping[str, Default] = {
    "marker_minutes": MARKER_MINUTES,
    "hatch_minutes": HATCH_MINUTES,
    "dam_minutes_per_ft": DAM_MINUTES_PER_FT,
    "masking_minutes_per_ft2": MASKING_MINUTES,
    "baffle_minutes": BAFFLE_MINUTES,
    "batt_minutes_per_ft2": BATT_MINUTES_PER_FT2,
    "net_minutes_per_ft2": NET_MINUTES_PER_FT2,
    "removal_minutes_per_ft2": REMOVAL_MINUTES_PER_FT2,
}
# Every rate that a contractor may set, by its path in a takeoff.
RATES: Mapping[str, Default] = {
    "machine.lb_per_hour.open": OPEN_LB_PER_HOUR,
    "machine.dense_share": DENSE_SHARE,
    "machine.feed_bags_per_hour": FEED_BAGS_PER_HOUR,
    "hose_hand.spread_ft2_per_hour": SPREAD_FT2_PER_HOUR,
    "hose_hand.minutes_per_bay": MINUTES_PER_BAY,
    "hose_hand.minutes_per_cavity": MINUTES_PER_CAVITY,
    **{f"hand.{name}": default for name, default in HAND.items()},
    "hand.loss_per_person": LOSS_PER_PERSON,
    "visit.setup_person_minutes": SETUP_BLOW,
}

# --- geometry and limits ------------------------------------------------------------------------
RAFTER_WIDTH_IN = Default("1.5", "in", "actual thickness of two-by lumber")
SPACING_IN = Default("16", "in", PRACTICE)
VENT_IN = Default("1", "in", "IRC R806.3: at least 1 in between insulation and roof sheathing")
MARKER_FT2 = Default("300", "ft2", "one marker per 300 ft2: IECC R303.1.1.1")
BAFFLE_PIECE_FT = Default("4", "ft", "2 to 4 ft long: DOE baffle practice")
STUD_HEIGHT_FT = Default("8", "ft", PRACTICE)
MAX_LB_PER_FT3 = 6

# Eighty per cent of jobs are taken to lie within the span, so sigma = ln(high/low) / 2.563.
SPANS: Mapping[str, tuple[str, str, str]] = {
    "flat_blow": ("3", "8", "3 to 8 labour-hours per 1,000 ft2"),
    "slope_blow": ("10", "30", "10 to 30 labour-hours per 1,000 ft2"),
    "dense_fill": ("10", "30", "10 to 30 labour-hours per 1,000 ft2"),
    "net": ("10", "30", "10 to 30 labour-hours per 1,000 ft2"),
    "batt": ("5", "12", "5 to 12 labour-hours per 1,000 ft2"),
    "air_seal": ("2", "8", "2 to 8 hours per house"),
    "baffles": ("3", "6", "3 to 6 minutes each"),
    "removal": ("2", "5", "2 to 5 labour-hours per 1,000 ft2"),
}

# --- air sealing: person-minutes, board-feet of foam and tubes of fire-rated sealant per unit -----
# 1/2-in round bead: 2.356 in3 per ft, 144 in3 to the board-foot. Flues never get foam.
AIR_SEAL: Mapping[str, tuple[str, str, str, str]] = {
    "top_plate": ("ft", "0.3", "0.01636", "0"),
    "wire_hole": ("count", "1", "0.05", "0"),
    "pipe_hole": ("count", "2", "0.12", "0"),
    "duct_boot": ("count", "5", "0.25", "0"),
    "box": ("count", "3", "0.1", "0"),
    "chase": ("ft2", "6", "0.3", "0"),
    "flue": ("count", "30", "0", "1"),
    "hatch": ("count", "20", "0.1", "0"),
}
AIR_SEAL_SOURCE = f"{MEMORY}; beads by geometry, 1/2 in round"

# --- materials ----------------------------------------------------------------------------------
# per inch, settled 1.6 lb/ft3, settling 15 % of the initial depth, bags of 25 lb: rows
# that agree with themselves, for trying things out, never for a customer's receipt.
_CELLULOSE_ROWS = (
    ("13", "4.37", "26/7", "104/210"),
    ("19", "6.39", "38/7", "152/210"),
    ("22", "7.39", "44/7", "176/210"),
    ("30", "10.08", "60/7", "240/210"),
    ("38", "12.77", "76/7", "304/210"),
    ("49", "16.47", "14", "392/210"),
    ("60", "20.17", "120/7", "480/210"),
)
_FIBREGLASS_ROWS = (
    ("30", "10.25", "10", "0.427"),
    ("38", "13", "12.7", "0.570"),
    ("44", "14.75", "14.4", "0.655"),
    ("49", "16.5", "16.1", "0.741"),
    ("60", "20", "19.5", "0.912"),
)
_BATTS = (
    ("13", "3.5", "15", "105"),
    ("15", "3.5", "15", "67"),
    ("21", "5.5", "15", "67"),
    ("30", "8.25", "15", "58"),
    ("38", "10.25", "15", "42"),
    ("13", "3.5", "23", "160"),
    ("21", "5.5", "23", "103"),
    ("30", "8.25", "23", "88"),
    ("38", "10.25", "23", "64"),
)


def _rows(rows: tuple[tuple[str, str, str, str], ...], names: str) -> list[dict[str, str]]:
    return [dict(zip(names.split(), row, strict=True)) for row in rows]


MATERIALS: Mapping[str, Mapping[str, object]] = {
    "cellulose": {
        "kind": "loose_fill",
        "bag_lb": "25",
        "chart": _rows(_CELLULOSE_ROWS, "r initial_in settled_in lb_per_ft2"),
        "fill_lb_per_ft3": {"dense": "3.5", "open": "1.6"},
        "dense_min_lb_per_ft3": "3.5",
        "cavity_chart": [
            {"depth_in": depth, "r": r, "lb_per_ft3": "3.5"}
            for depth, r in (
                ("3.5", "12"),
                ("5.5", "19"),
                ("7.25", "25"),
                ("8.25", "28"),
                ("9.25", "32"),
                ("10.25", "35"),
                ("11.25", "39"),
            )
        ],
    },
    "fibreglass": {
        "kind": "loose_fill",
        "bag_lb": "28.5",
        "chart": _rows(_FIBREGLASS_ROWS, "r initial_in settled_in lb_per_ft2"),
        "fill_lb_per_ft3": {"dense": "2", "open": "0.7"},
        "dense_min_lb_per_ft3": "1.5",
        "lb_per_hour": {"open": "1000", "dense": "400"},
        "cavity_chart": [
            {"depth_in": "3.5", "r": "14", "lb_per_ft3": "2"},
            {"depth_in": "5.5", "r": "22", "lb_per_ft3": "2"},
            {"depth_in": "9.25", "r": "37", "lb_per_ft3": "2"},
        ],
    },
    "batts": {"kind": "batt", "batts": _rows(_BATTS, "r thickness_in width_in package_ft2")},
    "foam": {"kind": "foam_can", "can_board_ft": "14"},
}
MATERIAL_OF_SPACE: Mapping[str, str] = {
    "attic_flat": "cellulose",
    "slope_bays": "cellulose",
    "walls": "batts",
    "rim": "batts",
    "knee_wall": "batts",
    "floor": "batts",
    "air_seal": "foam",
}
