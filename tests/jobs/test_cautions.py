"""Each caution comes with the work and the house that it belongs to, and names its source.

Sources are named beside each caution in the module; which work brings which caution is the design
of this project, from OSHA's attic fact sheet, NEC 394.12(5) and 410.116(B), 40 CFR 745.83.
"""

import pytest

from jobs.cautions import CAUTIONS, LAST_WORD, house_cautions


def codes(*kinds: str, year_built: int | None = None) -> list[str]:
    return [caution.code for caution in house_cautions(kinds, year_built)]


def test_a_new_attic_blow_warns_of_fall_heat_dust_and_hot_things() -> None:
    assert codes("flat_blow") == ["falls", "heat", "respirator", "hot_things"]


def test_an_old_house_warns_first_of_what_it_hides() -> None:
    assert codes("flat_blow", year_built=1931)[:3] == ["vermiculite", "knob_and_tube", "combustion"]


def test_air_sealing_brings_foam_and_no_dust() -> None:
    assert codes("air_seal") == ["falls", "heat", "foam"]


def test_batts_in_a_new_house_bring_none_of_these() -> None:
    assert codes("batt") == []


@pytest.mark.parametrize(("year", "warned"), [(1977, True), (1978, False), (None, False)])
def test_lead_paint_is_a_matter_of_houses_before_1978(year: int | None, warned: bool) -> None:
    # 40 CFR 745.83 with 745.103: target housing was built before 1978.
    assert ("lead" in codes("dense_fill", year_built=year)) is warned


def test_no_work_no_caution() -> None:
    assert codes(year_built=1931) == []


def test_every_caution_names_its_source_and_the_last_word_is_the_law_s() -> None:
    assert all(caution.source and caution.text.endswith(".") for caution in CAUTIONS)
    assert len({caution.code for caution in CAUTIONS}) == len(CAUTIONS)
    assert LAST_WORD == "Local code and licensed practice decide."
