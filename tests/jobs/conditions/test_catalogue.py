"""Entries of the catalogue, and the one it starts with."""

import re
from dataclasses import replace

import pytest

from jobs.conditions.catalogue import CatalogueEntry, LagAfter, entry_problems
from jobs.conditions.seed import ENTRIES, SEED
from jobs.conditions.states import Terms
from jobs.conditions.words import ESTIMATED_NAMES, FACTS, GATE_NAMES, PARTY_NAMES

PLAIN = CatalogueEntry(
    code="stairs_in",
    name="stairs in",
    owed_by="builder",
    gate="block",
    holds=("flat_blow",),
    consequence="The crew cannot get up.",
    source="Common practice, no source",
)


def codes(gate: str) -> set[str]:
    return {entry.code for entry in SEED if entry.gate == gate}


def test_codes_and_names_are_told_apart() -> None:
    assert len(ENTRIES) == len(SEED)
    assert len({entry.name for entry in SEED}) == len(SEED)


def test_the_seed_holds_forty_odd_conditions_and_more() -> None:
    assert len(SEED) >= 40


@pytest.mark.parametrize("entry", SEED, ids=lambda entry: entry.code)
def test_each_seeded_entry_has_no_problem(entry: CatalogueEntry) -> None:
    assert entry_problems(entry) == []
    assert re.fullmatch(r"[a-z_]+", entry.code)


@pytest.mark.parametrize("entry", SEED, ids=lambda entry: entry.code)
def test_names_are_short_and_consequences_one_sentence(entry: CatalogueEntry) -> None:
    assert len(entry.name) <= 60
    assert not entry.name.endswith(".")
    assert entry.consequence[0].isupper()
    assert entry.consequence.endswith(".")
    assert ". " not in entry.consequence


def test_every_gate_step_and_fact_is_put_to_use() -> None:
    assert {entry.gate for entry in SEED} == set(GATE_NAMES)
    assert {step for entry in SEED for step in entry.holds} == set(ESTIMATED_NAMES)
    assert {fact for entry in SEED for fact in entry.only_with | entry.not_with} == set(FACTS)


def test_stops_are_the_ones_that_hurt_people_or_burn_houses() -> None:
    assert codes("stop") == {
        "no_active_leak",
        "recessed_lights_safe",
        "flues_dammed",
        "junctions_covered",
        "walk_boards",
        "house_empty_for_foam",
        "foam_reentry",
        "no_vermiculite",
        "no_live_knob_and_tube",
        "combustion_test",
    }


def test_laws_are_inspections_and_the_lead_rule() -> None:
    assert codes("law") == {
        "plumbing_rough_passed",
        "electrical_rough_passed",
        "hvac_rough_passed",
        "framing_inspection",
        "insulation_inspection",
        "lead_rule",
    }


def test_only_the_lead_rule_is_never_waived() -> None:
    assert [entry.code for entry in SEED if entry.never_waived] == ["lead_rule"]


def test_papers_that_clear_a_stop() -> None:
    papers = {entry.code: entry.document for entry in SEED if entry.document}
    assert papers == {
        "no_vermiculite": "asbestos professional's clearance letter",
        "no_live_knob_and_tube": "electrician's certificate",
        "combustion_test": "test print-out",
        "after_test": "test print-out",
    }


def test_we_may_take_over_covers_baffles_plates_and_boxes_and_nothing_else() -> None:
    assert {entry.code for entry in SEED if entry.may_take_over} == {
        "chases_capped",
        "plates_sealed",
        "attic_sealed",
        "boxes_sealed",
        "slope_vents",
        "attic_baffles",
    }


def test_two_part_foam_alone_has_a_re_entry_time() -> None:
    assert ENTRIES["foam_reentry"].only_with == {"two_part_foam"}


def test_what_our_own_steps_bring_about() -> None:
    met = {entry.code: set(entry.follows) for entry in SEED if entry.follows}
    assert met == {
        "plates_sealed": {"air_seal"},
        "attic_sealed": {"air_seal"},
        "slope_vents": {"baffles"},
        "slope_vents_behind_board": {"baffles"},
        "attic_baffles": {"baffles"},
        "net_stapled": {"net"},
        "wall_cover_up": {"net"},
    }


def test_terms_carry_what_decides_about_moves() -> None:
    assert ENTRIES["lead_rule"].terms == Terms("law", never_waived=True)
    assert ENTRIES["chases_capped"].terms == Terms("block", may_take_over=True)
    assert ENTRIES["no_vermiculite"].terms.document == "asbestos professional's clearance letter"


def test_a_plain_entry_has_no_problem() -> None:
    assert entry_problems(PLAIN) == []


@pytest.mark.parametrize(
    ("entry", "problem"),
    [
        (replace(PLAIN, name=" "), "name: expected words"),
        (replace(PLAIN, consequence=""), "consequence: expected words"),
        (replace(PLAIN, source=""), "source: expected words"),
        (replace(PLAIN, holds=()), "holds: expected at least one kind of step"),
        (replace(PLAIN, holds=("paint",)), "holds: 'paint', expected one of air_seal"),
        (replace(PLAIN, owed_by="mason"), "owed_by: 'mason', expected one of builder"),
        (replace(PLAIN, gate="hard"), "gate: 'hard', expected one of stop"),
        (replace(PLAIN, houses="mobile"), "houses: 'mobile', expected one of new"),
        (replace(PLAIN, spaces=frozenset({"roof"})), "spaces: 'roof'"),
        (replace(PLAIN, covers=frozenset({"foil"})), "covers: 'foil'"),
        (replace(PLAIN, follows=frozenset({"paint"})), "follows: 'paint'"),
        (replace(PLAIN, only_with=frozenset({"rain"})), "only_with: 'rain'"),
        (replace(PLAIN, not_with=frozenset({"rain"})), "not_with: 'rain'"),
        (replace(PLAIN, lag_after=LagAfter(frozenset({"paint"}), 1)), "lag_after: 'paint'"),
        (replace(PLAIN, lag_after=LagAfter(frozenset({"batt"}), -1)), "days: expected 0 or more"),
        (replace(PLAIN, lead_days=-1), "days: expected 0 or more"),
        (replace(PLAIN, houses="old", built_before=1978), "year_rule: expected the reason"),
        (replace(PLAIN, built_before=1978, year_rule="TSCA"), "built_before: only old houses"),
        (replace(PLAIN, never_waived=True), "never_waived: only a stop or a law"),
        (replace(PLAIN, gate="stop", may_take_over=True), "may_take_over: safety"),
        (replace(PLAIN, gate="law", may_take_over=True), "may_take_over: safety"),
        (replace(PLAIN, owed_by="us", may_take_over=True), "may_take_over: it is ours already"),
    ],
)
def test_a_wrong_entry_is_told_what_is_wrong(entry: CatalogueEntry, problem: str) -> None:
    (found,) = entry_problems(entry)
    assert problem in str(found)


@pytest.mark.parametrize("party", ["electrician", "plumber", "hvac", "inspector", "tester"])
def test_licensed_work_is_never_taken_over(party: str) -> None:
    (found,) = entry_problems(replace(PLAIN, owed_by=party, may_take_over=True))
    assert str(found) == f"may_take_over: work of the {PARTY_NAMES[party]} needs a licence"


def test_all_problems_are_listed_at_once() -> None:
    assert len(entry_problems(replace(PLAIN, name="", gate="hard", lead_days=-1))) == 3


def test_an_entry_says_nothing_that_it_was_not_told() -> None:
    assert PLAIN.lead_days == 0
    assert PLAIN.lag_after is None
    assert PLAIN.terms == Terms("block")
    for thing in (PLAIN, PLAIN.terms, LagAfter(frozenset(), 0)):
        with pytest.raises(AttributeError):
            setattr(thing, "gate", "warn")  # noqa: B010 (the type checker would refuse it)
