"""The order of trades, inspections and insulation as building codes and towns demand it."""

from datetime import date

import pytest

from jobs.conditions.needed import conditions_needed, step_lags
from jobs.conditions.readiness import JobCondition, Readiness, step_ready
from jobs.conditions.seed import ENTRIES, SEED

MON = date(2027, 3, 1)
SPACES = ["attic_flat", "walls", "slope_bays"]
STEPS = ["air_seal", "baffles", "net", "batt", "slope_blow", "flat_blow"]


def new_house(**states: str) -> list[JobCondition]:
    """A new house's conditions, all seen done but those named."""
    return [
        JobCondition(
            needed.code,
            ENTRIES[needed.code].name,
            needed.owed_by,
            needed.gate,
            states.get(needed.code, "seen_done"),
            needed.holds,
        )
        for needed in conditions_needed(SPACES, STEPS, None, covers=["net"], catalogue=SEED)
    ]


def ready(step: str, **states: str) -> Readiness:
    return step_ready(step, new_house(**states), MON, None)


@pytest.mark.parametrize("step", STEPS)
def test_with_all_conditions_seen_each_step_is_ready(step: str) -> None:
    assert ready(step).ready


@pytest.mark.parametrize("step", STEPS)
def test_no_insulation_before_the_framing_inspection(step: str) -> None:
    """IRC R109.1.4: framing, fireblocking and roof are inspected before they are covered."""
    readiness = ready(step, framing_inspection="owed")
    assert not readiness.ready
    assert [str(reason) for reason in readiness.reasons] == [
        "framing and fireblocking inspection passed: owed by builder, no date"
    ]


@pytest.mark.parametrize("step", ["net", "batt", "slope_blow"])
@pytest.mark.parametrize(
    ("code", "party"),
    [
        ("plumbing_rough_passed", "plumber"),
        ("electrical_rough_passed", "electrician"),
        ("hvac_rough_passed", "HVAC"),
    ],
)
def test_no_trade_is_covered_before_its_rough_is_passed(code: str, party: str, step: str) -> None:
    """IRC R109.1.2: rough plumbing, mechanical, gas and electrical before concealment."""
    (reason,) = ready(step, **{code: "owed"}).reasons
    assert f"owed by {party}" in str(reason)


def test_no_attic_is_blown_before_its_ceiling_board() -> None:
    """Building science guidance: the taped board carries the fill and is the air barrier."""
    (reason,) = ready("flat_blow", ceiling_board="owed").reasons
    assert str(reason) == "ceiling board hung and taped: owed by drywaller, no date"


def test_no_board_before_the_insulation_inspection() -> None:
    """Durham NC inspection list: insulation is inspected before wall or ceiling material."""
    entry = ENTRIES["insulation_inspection"]
    assert entry.gate == "law"
    # The blow on top of that board waits too, even if somebody has hung it unseen.
    (reason,) = ready("flat_blow", insulation_inspection="owed").reasons
    assert "insulation inspection passed" in str(reason)
    assert step_lags(STEPS, True, ["net"], catalogue=SEED)["flat_blow"].lag_days == 4


def test_accessible_attics_need_no_insulation_inspection_before_the_board() -> None:
    """Durham NC inspection list leaves out accessible attics and crawl spaces."""
    codes = [
        found.code
        for found in conditions_needed(["attic_flat"], ["flat_blow"], None, catalogue=SEED)
    ]
    assert "insulation_inspection" not in codes


def test_an_attic_is_sealed_and_baffled_before_it_is_blown() -> None:
    """IRC R806.3 (air way kept open) and DOE/NREL Standard Work Specifications (air sealed)."""
    found = {
        needed.code: needed for needed in conditions_needed(SPACES, STEPS, None, catalogue=SEED)
    }
    for code, step in (("attic_sealed", "air_seal"), ("attic_baffles", "baffles")):
        assert found[code].met_by == step
        assert STEPS.index(step) < STEPS.index("flat_blow")
    owed = {
        needed.code
        for needed in conditions_needed(["attic_flat"], ["flat_blow"], None, catalogue=SEED)
    }
    assert {"attic_sealed", "attic_baffles"} <= owed


def test_slopes_keep_an_air_way_before_they_are_filled() -> None:
    """IRC R806.3: at least 1 in between insulation and sheathing."""
    entry = ENTRIES["slope_vents"]
    assert entry.holds == ("slope_blow",)
    assert "1 in" in entry.source


def test_shafts_and_dropped_ceilings_are_closed_before_any_fill() -> None:
    """IECC Table R402.4.1.1: air barrier in dropped ceilings, shafts sealed."""
    for step in ("batt", "slope_blow", "flat_blow"):
        assert not ready(step, chases_capped="owed").ready
