"""Slope bays: volume, pounds, bags, minutes per bay, cover, vent space and density."""

from typing import Any

import pytest

from jobs.estimating import TakeoffError
from tests.jobs.estimating.takeoffs import SLOPE, codes, estimate, step


def test_volume_pounds_and_bags() -> None:
    blow = step(SLOPE)
    volume = 14.5 * 8.25 * 192 / 1728 * 22
    assert blow["volume_ft3"] == pytest.approx(volume, rel=1e-6)
    assert blow["pounds"] == pytest.approx(volume * 3.5, rel=1e-6)
    assert blow["bags"] == 41  # 1,023.46 / 25 = 40.94


def test_handling_is_added_to_the_blow() -> None:
    blow = step(SLOPE)
    pounds = 14.5 * 8.25 * 192 / 1728 * 3.5
    assert blow["minutes_per_bay"] == pytest.approx(pounds / 7 + 0.8, rel=1e-5)
    assert blow["machine_minutes"] == pytest.approx(22 * pounds / 7, rel=1e-5)
    assert blow["crew_minutes"]["2"] == pytest.approx(22 * (pounds / 7 + 0.8), rel=1e-5)


def test_no_handling_is_allowed() -> None:
    blow = step(SLOPE, hose_hand={"minutes_per_bay": 0})
    assert blow["crew_minutes"]["2"] == blow["machine_minutes"]


def test_a_third_person_does_not_make_the_blow_quicker() -> None:
    table = step(SLOPE)["crew_minutes"]
    assert table["2"] == table["3"] == table["4"]


@pytest.mark.parametrize(("density", "fill"), [(2.5, "open"), (2.6, "dense"), (2.55, "dense")])
def test_the_nearer_density_says_which_machine_rate_holds(density: float, fill: str) -> None:
    assert step({**SLOPE, "lb_per_ft3": density})["fill"] == fill


def test_a_fill_that_is_said_wins() -> None:
    assert step({**SLOPE, "lb_per_ft3": 2.5, "fill": "dense"})["lb_per_hour"] == 420


def test_run_and_pitch_give_the_length() -> None:
    sloped: dict[str, Any] = {**SLOPE, "length_ft": None, "run_ft": 14, "pitch": "6/12"}
    assert step(sloped)["length_ft"] == pytest.approx(15.6525, rel=1e-5)
    assert step({**sloped, "pitch": 6})["length_ft"] == step(sloped)["length_ft"]


def test_hips_and_valleys_are_lists_of_lengths() -> None:
    mixed = {
        **SLOPE,
        "bays": 10,
        "lengths_ft": [4, 8, 12],
        "runs": [{"bays": 2, "length_ft": 10}],
    }
    blow = step(mixed)
    assert blow["quantity"] == 15
    feet = 10 * 16 + 4 + 8 + 12 + 2 * 10
    assert blow["volume_ft3"] == pytest.approx(14.5 * 8.25 / 144 * feet, rel=1e-6)
    assert [row["length_ft"] for row in blow["bays_by_length"]] == [10, 4, 8, 12, 16]


def test_a_length_that_run_and_pitch_contradict_is_told() -> None:
    both = {**SLOPE, "run_ft": 14, "pitch": 6}  # 15.652 ft, 2.2 % under 16
    assert codes(both) == ["lengths_differ"]
    assert codes({**both, "length_ft": 15.9}) == []
    assert step({**both, "length_ft": 15.9})["length_ft"] == 15.9


def test_a_net_is_a_step_of_its_own_only_where_it_is_asked_for() -> None:
    kinds = [each["kind"] for each in estimate({**SLOPE, "cover": "net"})["spaces"][0]["steps"]]
    assert kinds == ["net", "slope_blow"]
    net = step({**SLOPE, "cover": "net"}, "net", hand={"net_minutes_per_ft2": 0.5})
    assert net["quantity"] == pytest.approx(22 * 16 * 16 / 12, rel=1e-6)
    assert net["person_minutes"] == pytest.approx(net["quantity"] / 2, rel=1e-6)
    for cover in (None, "board"):
        assert len(estimate({**SLOPE, "cover": cover})["spaces"][0]["steps"]) == 1


def test_nothing_that_holds_the_fill_is_doubtful() -> None:
    assert codes({**SLOPE, "cover": "none"}) == ["no_cover"]


@pytest.mark.parametrize(("vent", "source"), [(0.5, "IRC R806.3"), (0, "IRC R806.5")])
def test_a_thin_vent_space_holds_the_step(vent: float, source: str) -> None:
    (warning,) = estimate({**SLOPE, "vent_in": vent})["spaces"][0]["warnings"]
    assert (warning["code"], warning["source"], warning["holds"]) == ("vent_space", source, True)


def test_a_thin_dense_fill_holds_the_step() -> None:
    (warning,) = estimate(
        {**SLOPE, "lb_per_ft3": 3.1, "cover": "net"},
        materials={"cellulose": {"kind": "loose_fill", "cavity_chart": [{"depth_in": 8, "r": 26}]}},
    )["spaces"][0]["warnings"]
    assert (warning["code"], warning["holds"]) == ("density_low", True)


def test_a_board_too_weak_for_the_pressure_is_told() -> None:
    weak = {**SLOPE, "cover": "board", "board_in": 0.375}
    assert codes(weak) == ["board_strength"]


def test_r_comes_from_the_cavity_chart_and_never_from_inches() -> None:
    assert step(SLOPE)["r"] == 28
    assert codes({**SLOPE, "lb_per_ft3": 3}) == ["density_low", "cavity_chart"]
    assert codes({**SLOPE, "target_r": 38}) == ["target_not_met"]


@pytest.mark.parametrize(
    ("field", "value", "path"),
    [
        ("vent_in", 9.25, "spaces[0].vent_in"),
        ("vent_in", -1, "spaces[0].vent_in"),
        ("lb_per_ft3", 0, "spaces[0].lb_per_ft3"),
        ("lb_per_ft3", 6.1, "spaces[0].lb_per_ft3"),
        ("rafter_width_in", 16, "spaces[0].rafter_width_in"),
        ("bays", 2.5, "spaces[0].bays"),
        ("bays", None, "spaces[0].bays"),
        ("length_ft", None, "spaces[0].length_ft"),
        ("depth_in", "deep", "spaces[0].depth_in"),
        ("cover", "tarp", "spaces[0].cover"),
        ("material", "straw", "spaces[0].material"),
    ],
)
def test_what_cannot_be_right_is_refused_by_name(field: str, value: object, path: str) -> None:
    with pytest.raises(TakeoffError) as refused:
        estimate({**SLOPE, field: value})
    assert refused.value.path == path
    assert str(refused.value).startswith(f"{path}: ")
