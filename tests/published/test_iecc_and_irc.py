"""IECC-R and IRC chapter 8: markers, raised heels, ceilings without attics, roof vents.

R303.1.1.1 and R806 in town and state papers (read or secondary); the 20 % of R402.2.2 and the
2021 figures of R402.2.1 from memory.
"""

from fractions import Fraction

import pytest

from jobs.estimating import ceiling_without_attic, raised_heel_r, vent_area_in2
from jobs.estimating.spaces.attic import markers_needed
from tests.jobs.estimating.takeoffs import ATTIC, SLOPE, estimate


@pytest.mark.parametrize(
    ("areas", "markers"),
    [((300,), 1), ((301,), 2), ((1500,), 5), ((1680,), 6), ((100, 100), 2), ((301, 299), 3)],
)
def test_one_marker_for_300_ft2_of_each_attic(areas: tuple[int, ...], markers: int) -> None:
    assert markers_needed(tuple(Fraction(area) for area in areas)) == markers


def test_two_separate_attics_each_have_their_marker() -> None:
    small = {**ATTIC, "area_ft2": 100}
    found = estimate({**small, "id": "east"}, {**small, "id": "west"})
    assert [space["markers"] for space in found["spaces"]] == [1, 1]


def test_net_free_area_of_roof_vents() -> None:
    # R806.2: 1/150 of the vented area, 1/300 under conditions.
    assert vent_area_in2(Fraction(1500), 300) == 720
    assert vent_area_in2(Fraction(1500), 150) == 1440


@pytest.mark.parametrize(("edition", "required", "enough"), [(2018, 49, 38), (2018, 38, 30)])
def test_a_raised_heel_lets_less_do(edition: int, required: int, enough: int) -> None:
    # R402.2.1, read in a state text of a permit set.
    assert raised_heel_r(required, edition) == enough


@pytest.mark.parametrize(("required", "enough"), [(49, 38), (60, 49), (30, None)])
def test_a_raised_heel_in_2021(required: int, enough: int | None) -> None:
    # From memory.
    assert raised_heel_r(required, 2021) == enough


@pytest.mark.parametrize(
    ("cathedral", "total", "edition", "covered", "full"),
    [
        (600, 2000, 2018, 400, 200),  # 20 % from memory
        (600, 4000, 2018, 500, 100),
        (600, 2000, 2009, 500, 100),  # 2009 IRC N1102.2.2: 500 ft2 alone (secondary)
        (300, 2000, 2021, 300, 0),
    ],
)
def test_ceilings_without_attics(
    cathedral: int, total: int, edition: int, covered: int, full: int
) -> None:
    part = ceiling_without_attic(Fraction(cathedral), Fraction(total), edition)
    assert [float(part.covered_ft2), float(part.full_ft2)] == [covered, full]


@pytest.mark.parametrize(("vent", "held"), [("1", False), ("0.99", True)])
def test_one_inch_between_insulation_and_sheathing(vent: str, held: bool) -> None:
    # R806.3, read in the 2009 text.
    assert estimate({**SLOPE, "vent_in": vent})["spaces"][0]["holds"] is held


def test_an_unvented_slope_cites_its_own_rule() -> None:
    (warning,) = estimate({**SLOPE, "vent_in": 0})["spaces"][0]["warnings"]
    assert warning["source"] == "IRC R806.5"
