"""Random takeoffs, estimated and reckoned a second way in plain floats."""

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.estimating import estimate_takeoff, kept_file
from tests.jobs.estimating import plain_reckoning

CHART: list[dict[str, Any]] = [
    {"r": 30, "initial_in": 10.08, "settled_in": 8.57, "lb_per_ft2": "8/7"},
    {"r": 38, "initial_in": 12.77, "settled_in": 10.86, "lb_per_ft2": "1.448"},
    {"r": 49, "initial_in": 16.47, "settled_in": 14, "lb_per_ft2": "28/15"},
    {"r": 60, "initial_in": 20.17, "settled_in": 17.14, "lb_per_ft2": 2.286},
]
BAGS = st.sampled_from([19, 25, 28.5, 30])
RATES = st.fixed_dictionaries(
    {
        "open": st.integers(300, 4000),
        "dense": st.integers(80, 1500),
        "feed": st.integers(20, 90),
        "spread": st.integers(300, 5000),
        "bay": st.sampled_from([0, 0.5, 0.8, 1.7]),
    }
)
INCHES = st.sampled_from([5.5, 7.25, 9.25, 11.25])
LENGTHS = st.fractions(2, 40, max_denominator=12).map(lambda feet: round(float(feet), 3))


def lone(space: dict[str, Any], bag_lb: float, rates: dict[str, Any]) -> dict[str, Any]:
    """The last step of the only space of a takeoff with these rates."""
    found: Any = kept_file(
        estimate_takeoff(
            {
                "format": "takeoff/1",
                "materials": {
                    "cellulose": {
                        "kind": "loose_fill",
                        "bag_lb": bag_lb,
                        "chart": CHART,
                        "fill_lb_per_ft3": {"dense": 3.5, "open": 1.6},
                    }
                },
                "machine": {
                    "lb_per_hour": {"open": rates["open"], "dense": rates["dense"]},
                    "feed_bags_per_hour": rates["feed"],
                },
                "hose_hand": {
                    "spread_ft2_per_hour": rates["spread"],
                    "minutes_per_bay": rates["bay"],
                    "minutes_per_cavity": 0.25,
                },
                "spaces": [space],
            }
        ),
        0,
    )
    last: dict[str, Any] = found["steps"][-1]
    return last


def assert_same(step: dict[str, Any], expected: dict[str, Any], *names: str) -> None:
    assert step["bags"] in expected["bags"]
    for name in ("pounds", "machine_minutes", *names):
        assert step[name] == pytest.approx(expected[name], rel=1e-4, abs=1e-3), name
    for people, minutes in expected.get("crew", {}).items():
        assert step["crew_minutes"][str(people)] == pytest.approx(minutes, rel=1e-4, abs=1e-3)


@settings(max_examples=80)
@given(st.floats(10, 9000).map(lambda area: round(area, 2)), st.sampled_from(CHART), BAGS, RATES)
def test_attics(area: float, row: dict[str, Any], bag_lb: float, rates: dict[str, Any]) -> None:
    space = {
        "kind": "attic_flat",
        "area_ft2": area,
        "target_r": row["r"],
        "material": "cellulose",
    }
    step = lone(space, bag_lb, rates)
    expected = plain_reckoning.attic(space, row, bag_lb, rates)
    assert_same(step, expected)
    least = min(expected["paces"].values())
    assert expected["paces"][step["paced_by"]] == pytest.approx(least)
    assert step["person_minutes"] == pytest.approx(
        2 * step["machine_minutes"] + Fraction(-int(-area // 300)), rel=1e-4, abs=1e-3
    )


@settings(max_examples=80)
@given(
    st.fixed_dictionaries(
        {
            "bays": st.integers(1, 80),
            "length_ft": st.one_of(st.none(), LENGTHS),
            "run_ft": LENGTHS,
            "pitch": st.integers(1, 18),
            "depth_in": INCHES,
            "spacing_in": st.sampled_from([12, 16, 24]),
            "rafter_width_in": st.sampled_from([1.5, 1.75]),
            "vent_in": st.sampled_from([0, 1, 1.5, 2]),
            "lb_per_ft3": st.sampled_from([1.6, 2.5, 2.6, 3.2, 3.5, 4]),
        }
    ),
    BAGS,
    RATES,
)
def test_slopes(space: dict[str, Any], bag_lb: float, rates: dict[str, Any]) -> None:
    space = {**space, "kind": "slope_bays", "material": "cellulose"}
    step = lone(space, bag_lb, rates)
    expected = plain_reckoning.slope(space, bag_lb, rates)
    assert_same(step, expected, "volume_ft3", "minutes_per_bay")
    assert step["person_minutes"] == pytest.approx(2 * expected["crew"][2], rel=1e-4, abs=1e-3)


@settings(max_examples=60)
@given(
    st.fixed_dictionaries(
        {
            "area_ft2": st.integers(60, 4000),
            "openings_ft2": st.integers(0, 50),
            "spacing_in": st.sampled_from([12, 16, 24]),
            "depth_in": INCHES,
            "lb_per_ft3": st.sampled_from([3.5, 3.8, 4]),
        }
    ),
    BAGS,
    RATES,
)
def test_walls(space: dict[str, Any], bag_lb: float, rates: dict[str, Any]) -> None:
    space = {**space, "kind": "walls", "material": "cellulose"}
    step = lone(space, bag_lb, rates)
    expected = plain_reckoning.wall(space, bag_lb, rates)
    assert_same(step, expected, "volume_ft3")
    handling = step["crew_minutes"]["2"] - step["machine_minutes"]
    assert handling == pytest.approx(0.25 * max(expected["cavities"]), abs=0.251)


def test_the_second_way_agrees_with_itself_at_a_whole_number() -> None:
    assert plain_reckoning.whole(112.00000000000001) == {112, 113}
    assert plain_reckoning.whole(111.4) == {112}
    assert plain_reckoning.number("28/15") == pytest.approx(1.8666667)
