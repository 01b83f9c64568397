"""What holds for all takeoffs: more area, split spaces, units, errors by path, flat memory."""

import copy
import gc
import json
import sys
from fractions import Fraction
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.estimating import TakeoffError, estimate_file, estimate_takeoff
from tests.jobs.estimating.takeoffs import (
    ATTIC,
    BAFFLES,
    SEAL,
    SLOPE,
    WALL,
    estimate,
    step,
    takeoff,
)

SOME = settings(max_examples=50)
AREAS = st.fractions(min_value=1, max_value=20_000, max_denominator=100)
TARGETS = st.sampled_from([13, 19, 22, 30, 38, 49, 60])
HOUSE = takeoff(
    ATTIC,
    {**SLOPE, "cover": "net", "lengths_ft": [3, 5], "runs": [{"bays": 2, "length_ft": 9}]},
    {**WALL, "openings": [{"width_in": 36, "height_in": 80}], "height_ft": 8},
    SEAL,
    BAFFLES,
    materials={
        "cellulose": {"kind": "loose_fill", "bag_lb": 25, "fill_lb_per_ft3": {"dense": 3.5}},
        "mine": {
            "kind": "batt",
            "batts": [{"r": 1, "thickness_in": 1, "width_in": 15, "package_ft2": 9}],
        },
    },
    visit={"setup_person_minutes": 60},
    learned={"flat_blow": {"minutes_factor": 1.1, "jobs": 3}},
    code={"edition": 2021, "zone": 5},
    date="2027-01-01",
)  # fmt: skip


@SOME
@given(AREAS, AREAS, TARGETS)
def test_more_area_never_needs_fewer_bags(one: Fraction, other: Fraction, target: int) -> None:
    small, large = sorted((one, other))
    bags = [
        step({**ATTIC, "area_ft2": area, "target_r": target})["bags"] for area in (small, large)
    ]
    assert bags[0] <= bags[1]


@SOME
@given(AREAS, st.fractions(min_value="1/50", max_value="49/50", max_denominator=50))
def test_splitting_an_attic_changes_bags_by_rounding_only(area: Fraction, share: Fraction) -> None:
    whole = step({**ATTIC, "area_ft2": area})
    parts = [{**ATTIC, "id": name, "area_ft2": area * part} for name, part in
             (("a", share), ("b", 1 - share))]  # fmt: skip
    split = estimate(*parts)["totals"]
    assert whole["bags"] <= split["bags"]["cellulose"] <= whole["bags"] + 1


@SOME
@given(st.integers(1, 60), st.integers(1, 60), st.fractions(1, 30, max_denominator=8))
def test_splitting_slopes_changes_bags_by_rounding_only(
    east: int, west: int, length: Fraction
) -> None:
    slope = {**SLOPE, "length_ft": length}
    whole = step({**slope, "bays": east + west})
    split = estimate({**slope, "bays": east, "id": "e"}, {**slope, "bays": west, "id": "w"})
    assert whole["bags"] <= split["totals"]["bags"]["cellulose"] <= whole["bags"] + 1
    minutes = sum(space["steps"][0]["minutes_50"] for space in split["spaces"])
    assert abs(minutes - whole["minutes_50"]) < 0.001


@SOME
@given(AREAS, TARGETS)
def test_bags_are_the_least_that_weigh_enough(area: Fraction, target: int) -> None:
    blow = step({**ATTIC, "area_ft2": area, "target_r": target})
    row = {13: "104/210", 19: "152/210", 22: "176/210", 30: "240/210", 38: "304/210", 49: "392/210",
           60: "480/210"}[target]  # fmt: skip
    pounds = area * Fraction(row)
    assert 25 * (blow["bags"] - 1) < pounds <= 25 * blow["bags"]


@SOME
@given(st.fractions(1, 40, max_denominator=12), st.fractions("1/2", 2, max_denominator=4))
def test_feet_and_inches_say_the_same(height_ft: Fraction, spacing_ft: Fraction) -> None:
    wall = {**WALL, "area_ft2": None, "stud_run_ft": 100, "material": "cellulose"}
    spaced = {**wall, "spacing_in": spacing_ft * 12, "lb_per_ft3": 3.5}
    in_feet = step({**spaced, "height_ft": height_ft})
    in_inches = step({**spaced, "height_in": height_ft * 12})
    assert in_feet == in_inches


@SOME
@given(st.floats(0.1, 5000, allow_nan=False))
def test_a_float_and_its_text_say_the_same(area: float) -> None:
    text = f"{area:.6f}"
    assert step({**ATTIC, "area_ft2": float(text)}) == step({**ATTIC, "area_ft2": text})


@SOME
@given(st.integers(2, 12))
def test_more_people_never_take_longer(people: int) -> None:
    for space in estimate(ATTIC, WALL, people=people)["spaces"]:
        table = list(space["steps"][0]["crew_minutes"].values())
        assert table == sorted(table, reverse=True)


JUNK = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**30), 10**30),
    st.floats(),
    st.text(max_size=12),
    st.sampled_from(["1/0", "-3", "1e400", "٣", "9" * 300, "28/15", "0"]),
    st.lists(st.integers(), max_size=2),
    st.dictionaries(st.text(max_size=3), st.integers(), max_size=2),
)


def outcome(data: Any) -> dict[str, object] | TakeoffError:
    """The estimate of a takeoff, or the error that it meets."""
    try:
        return estimate_file(estimate_takeoff(data))
    except TakeoffError as error:
        return error


def places(value: Any) -> list[tuple[Any, Any]]:
    """Every container of a structure with each of its keys."""
    found = []
    pairs = value.items() if isinstance(value, dict) else enumerate(value)
    for key, item in pairs:
        found.append((value, key))
        if isinstance(item, dict | list):
            found += places(item)
    return found


@settings(max_examples=200)
@given(st.data())
def test_what_is_malformed_is_refused_by_path_or_gives_an_estimate(data: st.DataObject) -> None:
    house = copy.deepcopy(HOUSE)
    for _ in range(data.draw(st.integers(1, 3))):
        container, key = data.draw(st.sampled_from(places(house)))
        container[key] = data.draw(JUNK)
    found = outcome(house)
    if isinstance(found, TakeoffError):
        assert found.path
        assert found.reason
        assert str(found) == f"{found.path}: {found.reason}"
        assert len(str(found)) < 600
    else:
        assert json.dumps(found, allow_nan=False)


@settings(max_examples=100)
@given(st.recursive(JUNK, lambda inner: st.lists(inner, max_size=3), max_leaves=5))
def test_anything_for_a_takeoff_is_refused(junk: Any) -> None:
    for data in (junk, {"format": "takeoff/1", "spaces": [junk]}):
        found = outcome(data)
        assert isinstance(found, TakeoffError)
        assert found.path


def test_an_estimate_leaves_the_takeoff_as_it_was() -> None:
    house = copy.deepcopy(HOUSE)
    estimate_takeoff(house)
    assert house == HOUSE


def test_a_whole_house_comes_out_the_same_each_time() -> None:
    assert json.dumps(outcome(HOUSE)) == json.dumps(outcome(HOUSE))


def test_memory_stays_flat() -> None:
    estimate_takeoff(HOUSE)
    gc.collect()
    before = sys.getallocatedblocks()
    for _ in range(20):
        estimate_takeoff(HOUSE)
    gc.collect()
    assert sys.getallocatedblocks() - before < 500
