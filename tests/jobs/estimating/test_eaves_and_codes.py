"""Eaves, raised heels and code targets of an attic; the exception for slopes; suggestions."""

from typing import Any

import pytest

from jobs.estimating import TakeoffError
from tests.jobs.estimating.takeoffs import ATTIC, SLOPE, codes, estimate, step

ZONE_5: dict[str, Any] = {"code": {"edition": 2018, "zone": 5, "total_ceiling_ft2": 2000}}


def notes(space: dict[str, Any], **more: Any) -> str:
    return " ".join(estimate(space, **more)["spaces"][0]["notes"])


def test_roof_vents_are_suggested_with_their_conditions() -> None:
    text = notes(ATTIC)
    assert "1,440 in2 net free area at 1/150; 720 in2 at 1/300" in text
    assert "The adopted local code decides." in text


def test_a_target_left_out_is_the_code_s_and_says_so() -> None:
    bare = {**ATTIC, "target_r": None}
    found = estimate(bare, **ZONE_5)
    assert found["spaces"][0]["steps"][0]["r"] == 49
    (entry,) = [one for one in found["assumed"] if one["path"] == "spaces[0].target_r"]
    assert "IECC 2018 table R402.1.2" in entry["source"]


def test_without_a_code_a_target_must_be_there() -> None:
    with pytest.raises(TakeoffError, match=r"spaces\[0\]\.target_r: is missing"):
        step({**ATTIC, "target_r": None})


def test_a_target_under_the_code_s_is_told() -> None:
    assert codes({**ATTIC, "target_r": 38}, **ZONE_5) == ["under_code"]
    assert codes({**ATTIC, "target_r": 38}) == []


def test_a_raised_heel_lets_less_do() -> None:
    heel = {**ATTIC, "target_r": 38, "heel_in": 14}
    assert codes(heel, **ZONE_5) == []
    assert "R-38 lies at its full height over the plate" in notes(heel, **ZONE_5)
    assert codes({**heel, "heel_in": "13.77"}, **ZONE_5) == []  # 12.77 in, the depth itself
    assert codes({**heel, "heel_in": 13}, **ZONE_5) == ["under_code", "eave_depth"]


def test_a_low_heel_says_where_the_full_depth_begins() -> None:
    low = {**ATTIC, "heel_in": 7, "pitch": 6}
    (warning,) = estimate(low)["spaces"][0]["warnings"]
    assert (warning["code"], warning["holds"]) == ("eave_depth", False)
    # 16.47 in less 6 in of room at 6 in per foot.
    assert "begins 1.75 ft further in" in warning["text"] or "1.74 ft" in warning["text"]


def test_a_heel_without_room_is_refused() -> None:
    with pytest.raises(TakeoffError, match=r"spaces\[0\]\.heel_in: leaves no room"):
        step({**ATTIC, "heel_in": 1})


def test_the_warning_about_a_load_names_the_row_that_would_do() -> None:
    (warning,) = estimate({**ATTIC, "board_in": 0.5})["spaces"][0]["warnings"]
    assert warning["text"].endswith("which is said to carry 1.3 lb/ft2. R-30 would do.")


def test_a_board_s_own_limit_counts() -> None:
    strong = {**ATTIC, "board_in": 0.5, "board_limit_lb_per_ft2": 2.2}
    assert codes(strong) == []


def test_a_load_of_unknown_old_insulation_is_told() -> None:
    assert codes({**ATTIC, "existing": {"r": 11}}) == ["board_unknown"]
    weighed = {"r": 11, "depth_in": 4, "lb_per_ft3": 0.6}
    assert codes({**ATTIC, "existing": weighed}) == []


def test_what_lies_there_is_told_with_what_it_counts_for() -> None:
    assert "R-11 that lies there is taken off the target" in notes({**ATTIC, "existing": {"r": 11}})
    unknown = notes({**ATTIC, "existing": {"depth_in": 4, "lb_per_ft3": 0.6}})
    assert "has no stated R and counts as none" in unknown
    assert "lies there" not in notes(ATTIC)


def test_a_slope_says_how_much_of_it_the_exception_covers() -> None:
    slope = {**SLOPE, "bays": 30, "length_ft": 15}  # 600 ft2
    text = notes(slope, **ZONE_5)
    assert "R-30 may serve 400 of the 600 ft2" in text
    assert codes(slope, **ZONE_5) == ["target_not_met"]


def test_a_slope_without_a_code_says_nothing_of_it() -> None:
    assert notes(SLOPE) == ""
