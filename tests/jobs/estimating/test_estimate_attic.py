"""Attic flats: bags from the chart, pace, markers, dams, top-ups, the load on the board."""

import pytest

from jobs.estimating import TakeoffError
from tests.jobs.estimating.takeoffs import ATTIC, codes, estimate, step


def test_bags_are_counted_exactly() -> None:
    blow = step(ATTIC)
    assert (blow["pounds"], blow["bags"]) == (2800, 112)


def test_the_chart_row_gives_both_depths() -> None:
    blow = step(ATTIC)
    assert (blow["r"], blow["initial_in"], blow["settled_in"]) == (49, 16.47, 14)


def test_the_slowest_sets_the_pace() -> None:
    assert (step(ATTIC)["machine_minutes"], step(ATTIC)["paced_by"]) == (140, "machine")


@pytest.mark.parametrize(
    ("machine", "hand", "paced_by", "minutes"),
    [
        ({"lb_per_hour": {"open": 3000}, "feed_bags_per_hour": 60}, 2400, "feeder", 112),
        ({"lb_per_hour": {"open": 3000}, "feed_bags_per_hour": 90}, 600, "hose_hand", 150),
        ({"lb_per_hour": {"open": 600}, "feed_bags_per_hour": 60}, 2400, "machine", 280),
    ],
)
def test_each_may_be_the_slowest(
    machine: dict[str, object], hand: int, paced_by: str, minutes: int
) -> None:
    blow = step(ATTIC, machine=machine, hose_hand={"spread_ft2_per_hour": hand})
    assert (blow["paced_by"], blow["machine_minutes"]) == (paced_by, minutes)


def test_markers_are_hand_work_within_the_blow() -> None:
    blow = step(ATTIC, hand={"marker_minutes": 2})
    assert blow["crew_minutes"] == {"2": 145, "3": pytest.approx(143.5088), "4": 142.7778}
    assert blow["person_minutes"] == 290


def test_markers_count_for_each_separate_attic() -> None:
    listed = estimate({**ATTIC, "attics": [100, 100], "area_ft2": 200})
    assert listed["spaces"][0]["markers"] == 2
    counted = estimate({**ATTIC, "attics": 3, "area_ft2": 1500})
    assert counted["spaces"][0]["markers"] == 6


def test_attics_must_sum_to_the_area() -> None:
    with pytest.raises(TakeoffError, match=r"spaces\[0\]\.attics"):
        estimate({**ATTIC, "attics": [100, 200], "area_ft2": 200})


def test_an_r_between_two_rows_takes_the_higher_and_says_so() -> None:
    assert step({**ATTIC, "target_r": 44})["r"] == 49
    (warning,) = estimate({**ATTIC, "target_r": 44})["spaces"][0]["warnings"]
    assert warning["code"] == "target_not_on_chart"
    assert warning["text"] == "R-44 is not on the chart of cellulose; R-49 is taken."
    assert warning["step"] == "flat_blow"


def test_an_r_above_the_chart_is_refused() -> None:
    with pytest.raises(TakeoffError, match=r"spaces\[0\]\.target_r: .*highest row, R-60"):
        estimate({**ATTIC, "target_r": 70})


@pytest.mark.parametrize(
    ("board", "framing", "expected"),
    [
        ("1/2", 24, ["board_load"]),
        ("1/2", 16, []),
        ("5/8", 24, []),
        ("1/2", "19.2", ["board_load"]),
        ("3/8", 16, ["board_load"]),
        (None, 24, ["board_unknown"]),
        ("1/2", None, ["board_unknown"]),
    ],
)
def test_the_board_must_carry_the_load(
    board: str | None, framing: int | None, expected: list[str]
) -> None:
    assert codes({**ATTIC, "board_in": board, "framing_in": framing}) == expected


def test_a_load_holds_the_step_and_an_unknown_board_does_not() -> None:
    heavy = estimate({**ATTIC, "board_in": 0.5})["spaces"][0]
    unknown = estimate({**ATTIC, "board_in": None})["spaces"][0]
    assert (heavy["holds"], unknown["holds"]) == (True, False)


def test_what_lies_there_counts_to_the_load_and_to_the_r() -> None:
    top_up = {**ATTIC, "existing": {"r": 19, "lb_per_ft2": 1.5}}
    assert step(top_up)["r"] == 30
    assert codes(top_up) == ["board_load"]


def test_enough_already_gives_no_blow() -> None:
    found = estimate({**ATTIC, "existing": {"r": 60}})["spaces"][0]
    assert found["steps"] == []
    assert [warning["code"] for warning in found["warnings"]] == ["enough_already"]


def test_hatches_and_dams_are_hand_work() -> None:
    hand = {"marker_minutes": 0, "hatch_minutes": 20, "dam_minutes_per_ft": 3}
    blow = step({**ATTIC, "hatches": 1, "dam_ft": 10}, hand=hand)
    assert blow["person_minutes"] == 2 * 140 + 20 + 30
    assert blow["dam_in"] == 20.47


def test_batts_cannot_be_blown() -> None:
    with pytest.raises(TakeoffError, match=r"spaces\[0\]\.material: batts is no loose fill"):
        estimate({**ATTIC, "material": "batts"})
