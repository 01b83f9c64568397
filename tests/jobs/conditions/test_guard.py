"""Seeded stops and laws keep their teeth: each way of weakening one is refused, for each of them.

What the gates stand for, and where: NEC 394.12(5) knob-and-tube, NEC 410.116(B) recessed lights,
ANSI/BPI-1200-S combustion, EPA vermiculite and spray foam, 29 CFR 1926.501(b)(13) falls, DOE/NREL
Standard Work Specifications flues, junctions, leaks; IRC R109.1.2 and R109.1.4 inspections, 40 CFR
745 subpart E lead. That nobody overrides them is a rule of this product.
"""

from dataclasses import replace

import pytest

from jobs.conditions.catalogue import CatalogueEntry, LagAfter
from jobs.conditions.entry_json import entry_as_json, entry_of_json
from jobs.conditions.guard import is_guarded, weakenings
from jobs.conditions.seed import ENTRIES, SEED

STOPS = [entry for entry in SEED if entry.gate == "stop"]
LAWS = [entry for entry in SEED if entry.gate == "law"]
GUARDED = [*STOPS, *LAWS]
FREE = [entry for entry in SEED if entry.gate not in ("stop", "law")]


def name_of(entry: CatalogueEntry) -> str:
    return entry.code


def fields(entry: CatalogueEntry, *, retired: bool = False) -> set[str]:
    return {problem.field for problem in weakenings(entry, retired=retired)}


@pytest.mark.parametrize("entry", SEED, ids=name_of)
def test_as_seeded_nothing_is_weakened(entry: CatalogueEntry) -> None:
    assert weakenings(entry) == []
    assert is_guarded(entry.code) == (entry in GUARDED)


@pytest.mark.parametrize("gate", ["block", "warn", "close"])
@pytest.mark.parametrize("entry", GUARDED, ids=name_of)
def test_no_gate_of_safety_or_law_becomes_a_lesser_one(entry: CatalogueEntry, gate: str) -> None:
    assert fields(replace(entry, gate=gate)) == {"gate"}


@pytest.mark.parametrize("entry", STOPS, ids=name_of)
def test_a_stop_does_not_become_a_law_that_an_authority_could_waive(entry: CatalogueEntry) -> None:
    (problem,) = weakenings(replace(entry, gate="law"))
    assert str(problem) == "gate: this stop is about safety, and nobody may weaken it"


@pytest.mark.parametrize("entry", LAWS, ids=name_of)
def test_a_law_may_become_a_stop(entry: CatalogueEntry) -> None:
    assert weakenings(replace(entry, gate="stop")) == []


@pytest.mark.parametrize("entry", GUARDED, ids=name_of)
def test_none_is_retired_narrowed_or_taken_over(entry: CatalogueEntry) -> None:
    assert fields(entry, retired=True) == {"retired"}
    assert fields(replace(entry, holds=entry.holds[1:])) == {"holds"}
    assert fields(replace(entry, may_take_over=True)) == {"may_take_over"}
    assert fields(replace(entry, spaces=frozenset({"rim"}))) == {"spaces"}
    assert fields(replace(entry, covers=frozenset({"net"}))) == {"covers"}
    assert fields(replace(entry, not_with=frozenset({"wet_spray"}))) == {"not_with"}
    assert fields(replace(entry, only_with=frozenset({"wet_spray"}))) == {"only_with"}
    assert fields(replace(entry, follows=frozenset({"batt"}))) == {"follows"}
    assert fields(replace(entry, built_before=1900)) == {"built_before"}
    assert fields(replace(entry, lag_after=LagAfter(frozenset({"net"}), 1))) == {"lag_after"}
    assert fields(replace(entry, valid_hours=25 if entry.valid_hours else None)) == (
        {"valid_hours"} if entry.valid_hours else set()
    )


@pytest.mark.parametrize("entry", [e for e in GUARDED if e.houses != "both"], ids=name_of)
def test_none_leaves_its_houses(entry: CatalogueEntry) -> None:
    other = {"new": "old", "old": "new"}[entry.houses]
    assert "houses" in fields(replace(entry, houses=other))
    assert fields(replace(entry, houses="both")) == set()


@pytest.mark.parametrize("entry", [e for e in GUARDED if e.owed_by != "us"], ids=name_of)
def test_none_becomes_ours_which_would_hold_up_no_plan(entry: CatalogueEntry) -> None:
    assert fields(replace(entry, owed_by="us")) == {"owed_by"}
    assert fields(replace(entry, owed_by="inspector")) == set()


@pytest.mark.parametrize("entry", [e for e in STOPS if e.document], ids=name_of)
def test_none_loses_its_paper(entry: CatalogueEntry) -> None:
    assert fields(replace(entry, document=" ")) == {"document"}


def test_the_lead_rule_stays_unwaivable_and_the_inspection_an_appointment() -> None:
    """40 CFR 745 subpart E knows no waiver; IRC R109.1 inspections come on a day."""
    assert fields(replace(ENTRIES["lead_rule"], never_waived=False)) == {"never_waived"}
    assert fields(replace(ENTRIES["insulation_inspection"], booked=False)) == {"booked"}


@pytest.mark.parametrize("entry", GUARDED, ids=name_of)
def test_words_and_days_are_the_contractor_s_own(entry: CatalogueEntry) -> None:
    own = replace(entry, name="own words", consequence="Own.", source="own", lead_days=30)
    assert weakenings(own) == []


@pytest.mark.parametrize("entry", GUARDED, ids=name_of)
def test_asking_more_is_welcome(entry: CatalogueEntry) -> None:
    wider = replace(
        entry,
        holds=("air_seal", "baffles", "net", "batt", "dense_fill", "slope_blow", "flat_blow"),
        spaces=frozenset(),
        covers=frozenset(),
        only_with=frozenset(),
        built_before=None,
        document="a paper",
    )
    assert weakenings(wider) == []


@pytest.mark.parametrize("entry", FREE, ids=name_of)
def test_other_entries_are_the_contractor_s_to_change(entry: CatalogueEntry) -> None:
    assert weakenings(replace(entry, gate="warn", holds=("batt",)), retired=True) == []


@pytest.mark.parametrize("entry", SEED, ids=name_of)
def test_an_entry_outlives_json(entry: CatalogueEntry) -> None:
    kept = entry_as_json(entry)
    assert entry_of_json(kept) == entry
    assert len(str(kept)) < 900
