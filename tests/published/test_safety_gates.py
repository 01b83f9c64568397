"""Gates that safety rules and law demand: nobody in the office gets round them."""

from dataclasses import replace
from datetime import date

import pytest

from jobs.conditions.needed import conditions_needed
from jobs.conditions.seed import ENTRIES, SEED
from jobs.conditions.states import Grounds, Mover, MoveRefused, move_allowed
from jobs.conditions.words import ROLES

TODAY = date(2027, 3, 1)
EVERYTHING = Grounds(
    day=TODAY, name="Dana Alvarez", reason="customer is waiting", paper="B-114", document="scan-7"
)
STEPS = ["air_seal", "dense_fill", "slope_blow", "flat_blow"]
SPACES = ["attic_flat", "walls", "slope_bays"]


def may(code: str, to_state: str, role: str, grounds: Grounds = EVERYTHING) -> bool:
    mover = Mover(role, may_clear_stop=True)
    try:
        move_allowed(ENTRIES[code].terms, "owed", to_state, mover, grounds, today=TODAY)
    except MoveRefused:
        return False
    return True


def codes(year_built: int | None) -> set[str]:
    found = conditions_needed(SPACES, STEPS, year_built, covers=["board"], catalogue=SEED)
    return {condition.code for condition in found}


@pytest.mark.parametrize(
    "code",
    [
        "no_live_knob_and_tube",  # NEC 394.12(5)
        "no_vermiculite",  # EPA; Building America Solution Center: work shall not proceed
        "combustion_test",  # ANSI/BPI-1200-S; Building America Solution Center
        "recessed_lights_safe",  # NEC 410.116(B)
        "flues_dammed",  # DOE/NREL Standard Work Specifications
        "junctions_covered",  # DOE/NREL Standard Work Specifications: no uncovered junctions
        "no_active_leak",  # DOE/NREL Standard Work Specifications: no active leaks
        "walk_boards",  # 29 CFR 1926.501(b)(13); OSHA fact sheet on attic work
        "house_empty_for_foam",  # EPA guidance on spray foam: isocyanates
        "foam_reentry",  # EPA: no universal time, the product's own holds
    ],
)
def test_the_office_cannot_get_round_a_stop(code: str) -> None:
    """The gate that nobody overrides is a rule of this product; each danger's source is above."""
    for role in ("office", "owner"):
        assert not may(code, "seen_done", role)
    for role in ROLES:
        assert not may(code, "waived", role)
        assert not may(code, "taken_over", role)
    assert may(code, "seen_done", "crew_lead")


def test_every_stop_and_every_law_is_tried() -> None:
    assert tried(test_the_office_cannot_get_round_a_stop) == of_gate("stop")
    inspections = tried(test_inspections_are_waived_only_by_the_authority_on_paper)
    assert inspections | {"lead_rule"} == of_gate("law")


def tried(test: object) -> set[str]:
    (marks,) = [m for m in test.pytestmark if m.name == "parametrize"]  # type: ignore[attr-defined]
    return set(marks.args[1])


def of_gate(gate: str) -> set[str]:
    return {entry.code for entry in SEED if entry.gate == gate}


def test_knob_and_tube_holds_every_fill_that_would_wrap_it() -> None:
    """NEC 394.12(5): not where loose, rolled or foamed insulation envelops the conductors."""
    assert set(ENTRIES["no_live_knob_and_tube"].holds) == {
        "batt", "dense_fill", "slope_blow", "flat_blow",
    }  # fmt: skip
    assert "no_live_knob_and_tube" in codes(1925)


def test_old_houses_are_tested_for_combustion_before_and_after() -> None:
    """ANSI/BPI-1200-S: test before and after work on the shell."""
    assert {"combustion_test", "after_test"} <= codes(1995)
    assert ENTRIES["combustion_test"].gate == "stop"
    assert ENTRIES["after_test"].gate == "close"


def test_lead_rule_ends_with_houses_of_1977() -> None:
    """TSCA, 15 U.S.C. 2681: target housing is housing constructed prior to 1978."""
    assert "lead_rule" in codes(1977)
    assert "lead_rule" not in codes(1978)
    assert "lead_rule" not in codes(None)


@pytest.mark.parametrize("role", ROLES)
def test_lead_rule_is_waived_by_nobody(role: str) -> None:
    """40 CFR 745 subpart E knows no waiver by a firm or a town."""
    assert not may("lead_rule", "waived", role)


@pytest.mark.parametrize(
    "code",
    [
        "plumbing_rough_passed",
        "electrical_rough_passed",
        "hvac_rough_passed",
        "framing_inspection",
        "insulation_inspection",
    ],
)
def test_inspections_are_waived_only_by_the_authority_on_paper(code: str) -> None:
    """IRC R109.1: the building official inspects, and only the building official lets it be."""
    assert may(code, "waived", "office")
    assert not may(code, "waived", "office", Grounds(name="Dana Alvarez", reason="in a hurry"))
    for lacking in ({"name": ""}, {"paper": " "}, {"day": None}, {"day": date(2027, 3, 2)}):
        assert not may(code, "waived", "owner", replace(EVERYTHING, **lacking))
    assert not may(code, "waived", "crew_lead")
    assert not may(code, "taken_over", "office")


def test_new_attics_are_checked_for_the_fire_stops_of_the_work_specifications() -> None:
    """DOE/NREL Standard Work Specifications, attic: the area is free of these before insulation."""
    assert {
        "no_active_leak",
        "junctions_covered",
        "recessed_lights_safe",
        "flues_dammed",
        "exhausts_outdoors",
        "chases_capped",
        "attic_sealed",
    } <= codes(None)


def test_people_do_not_walk_on_ceilings_without_boards() -> None:
    """29 CFR 1926.501(b)(13) and the OSHA fact sheet on attic work."""
    entry = ENTRIES["walk_boards"]
    assert (entry.gate, entry.owed_by) == ("stop", "us")
    assert "flat_blow" in entry.holds


def test_customers_see_fact_sheets_and_get_a_receipt() -> None:
    """16 CFR 460.15 (before they agree to buy) and 460.17 (when the work is done)."""
    assert ENTRIES["contract_signed"].gate == "block"
    assert ENTRIES["receipt_signed"].gate == "close"
    assert "460.17" in ENTRIES["receipt_signed"].source
