"""Walls, rim, knee wall and floor: batts and dense fill, areas and openings."""

from typing import Any

import pytest

from jobs.estimating import TakeoffError
from tests.jobs.estimating.takeoffs import WALL, codes, estimate, step

DENSE: dict[str, Any] = {**WALL, "material": "cellulose", "lb_per_ft3": 3.5}


def test_batts_take_feet_packages_and_hand_work() -> None:
    found = step(WALL, hand={"batt_minutes_per_ft2": 0.5})
    assert (found["kind"], found["batt_ft"], found["r"]) == ("batt", 750, 21)
    assert found["packages"] == 14  # 750 ft x 1.25 ft / 67 ft2 = 13.99
    assert found["person_minutes"] == 500


def test_waste_is_added_only_where_it_is_given() -> None:
    assert step({**WALL, "waste": 0.1})["packages"] == 16  # 15.39


def test_openings_are_taken_off() -> None:
    windows = [{"width_in": 36, "height_in": 60}, {"width_in": 36, "height_in": 80}]
    assert step({**WALL, "openings": windows})["quantity"] == 1000 - 15 - 20
    assert step({**WALL, "openings_ft2": 100})["quantity"] == 900


def test_run_and_height_give_the_area() -> None:
    run = {**WALL, "area_ft2": None, "stud_run_ft": 40, "height_ft": 9}
    assert step(run)["quantity"] == 360


def test_a_wider_spacing_takes_wider_batts() -> None:
    assert step({**WALL, "spacing_in": 24})["width_in"] == 23


def test_the_least_batt_that_meets_the_target() -> None:
    wall = {**WALL, "depth_in": 5.5}
    assert step({**wall, "target_r": 13})["r"] == 13
    assert step({**wall, "target_r": 30})["r"] == 21
    assert codes({**wall, "target_r": 30}) == ["target_not_met"]


def test_a_cavity_without_a_batt_is_refused() -> None:
    with pytest.raises(TakeoffError, match=r"depth_in: batts has no batt for a cavity 14.5 in"):
        step({**WALL, "depth_in": 2})


def test_dense_fill_by_area_framing_taken_off() -> None:
    found = step(DENSE)
    volume = 1000 * (1 - 1.5 / 16) * 5.5 / 12
    assert found["kind"] == "dense_fill"
    assert found["volume_ft3"] == pytest.approx(volume, rel=1e-6)
    assert found["bags"] == 59  # 1,453.8 lb / 25 = 58.2
    assert found["machine_minutes"] == pytest.approx(volume * 3.5 / 7, rel=1e-5)


def test_a_measured_share_of_framing_is_used() -> None:
    assert step({**DENSE, "framing_factor": 0.25})["volume_ft3"] == pytest.approx(343.75)


def test_handling_from_cavity_to_cavity() -> None:
    found = step(DENSE)
    cavities = 94  # 1,000 ft2 / (16/12 x 8 ft) = 93.75
    assert found["crew_minutes"]["2"] - found["machine_minutes"] == pytest.approx(cavities * 0.5)


def test_a_thin_dense_fill_is_doubtful() -> None:
    assert codes({**DENSE, "lb_per_ft3": 3}) == ["density_low", "cavity_chart"]
    fibreglass = {**DENSE, "material": "fibreglass", "lb_per_ft3": 1.6}
    assert "density_low" not in codes(fibreglass)


@pytest.mark.parametrize(("board", "spacing", "weak"), [(0.5, 16, 0), (0.5, 24, 1), (0.375, 16, 1)])
def test_the_board_must_stand_the_pressure(board: float, spacing: int, weak: int) -> None:
    found = codes({**DENSE, "board_in": board, "spacing_in": spacing})
    assert found.count("board_strength") == weak


def test_a_rim_by_length_and_height() -> None:
    rim = {"kind": "rim", "length_ft": 136, "height_in": 9.25, "depth_in": 5.5}
    assert step(rim)["quantity"] == pytest.approx(136 * 9.25 / 12, rel=1e-6)


@pytest.mark.parametrize("kind", ["knee_wall", "floor"])
def test_knee_walls_and_floors_as_walls(kind: str) -> None:
    same = {**WALL, "kind": kind}
    assert step(same)["packages"] == step(WALL)["packages"]


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"area_ft2": None}, "spaces[0].area_ft2"),
        ({"openings_ft2": 1000}, "spaces[0].openings_ft2"),
        ({"depth_in": None}, "spaces[0].depth_in"),
        ({"stud_width_in": 16}, "spaces[0].stud_width_in"),
        ({"material": "foam"}, "spaces[0].material"),
        ({"openings": [{"width_in": 3}]}, "spaces[0].openings[0].height_in"),
    ],
)
def test_what_cannot_be_right_is_refused(change: dict[str, Any], path: str) -> None:
    with pytest.raises(TakeoffError) as refused:
        estimate({**WALL, **change})
    assert refused.value.path == path


def test_without_a_depth_the_target_chooses_the_batt_and_says_so() -> None:
    wall = {**WALL, "depth_in": None, "target_r": 13}
    assert step(wall)["r"] == 13
    assert codes(wall) == ["depth_unknown"]


def test_without_depth_and_target_there_is_no_batt() -> None:
    with pytest.raises(TakeoffError, match="depth_in: is missing; expected the depth in in, or"):
        step({**WALL, "depth_in": None, "target_r": None})


def test_a_dense_fill_needs_its_depth() -> None:
    with pytest.raises(TakeoffError, match="depth_in: is missing"):
        step({**DENSE, "depth_in": None, "target_r": 13})
