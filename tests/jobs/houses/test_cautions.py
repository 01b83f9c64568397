"""Each caution comes with the work and the house that it belongs to, and names its source.

Sources are named beside each caution in the module; which work brings which caution is the design
of this project, from OSHA's attic fact sheet, NEC 394.12(5) and 410.116(B), 40 CFR 745.83.
"""

from datetime import date

import pytest

from jobs.conditions.seed import ENTRIES
from jobs.estimating.heat import ATTIC_RISE_F, REST_EVERY_MINUTES, REST_FROM_F, REST_MINUTES
from jobs.houses.cautions import CAUTIONS, LAST_WORD, house_cautions


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


@pytest.mark.parametrize(("month", "code"), [(1, "heat"), (4, "heat"), (7, "heat_season")])
def test_the_season_decides_how_much_is_said_of_heat(month: int, code: str) -> None:
    found = [c.code for c in house_cautions(["air_seal"], None, day=date(2027, month, 15))]
    assert [one for one in found if one.startswith("heat")] == [code]


def test_what_is_said_of_heat_is_what_the_estimate_reckons_with() -> None:
    (caution,) = (caution for caution in CAUTIONS if caution.code == "heat_season")
    assert f"{ATTIC_RISE_F} °F hotter" in caution.text
    assert f"{REST_FROM_F} °F when it is {REST_FROM_F - ATTIC_RISE_F} °F outside" in caution.text
    assert f"{REST_MINUTES} minutes of rest every {REST_EVERY_MINUTES // 60} hours" in caution.text


def test_a_weak_board_is_said_where_the_estimate_found_one() -> None:
    weak = house_cautions(["flat_blow"], None, conditions={"board_carries_load"})
    assert "weak_board" in [caution.code for caution in weak]
    assert "weak_board" not in codes("flat_blow")


def test_what_clears_a_caution_is_a_condition_of_the_catalogue() -> None:
    cleared = {caution.condition for caution in CAUTIONS if caution.condition}
    assert cleared <= set(ENTRIES)
    assert len(cleared) == 5
