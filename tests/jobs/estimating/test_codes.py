"""Code targets as plain functions and as a takeoff's setting."""

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.estimating import EDITIONS, TakeoffError, ceiling_without_attic, code_target
from jobs.estimating.codes import read_code, vent_area_in2
from jobs.estimating.reading import Node

AREAS = st.fractions(0, 5000, max_denominator=8)


def code(data: dict[str, Any]) -> Any:
    return read_code(Node(data, "code", {}))


def test_no_code_unless_it_is_named() -> None:
    assert code({}) is None
    assert code({"zone": 5}) is None


def test_a_code_by_edition_and_zone() -> None:
    found = code({"edition": 2021, "zone": "4", "marine": True, "total_ceiling_ft2": 1800})
    assert (found.edition, found.target.zone, found.total_ceiling_ft2) == (2021, 4, 1800)
    assert found.target.ceiling_r == 60


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ({"edition": 2024, "zone": 5}, "code.edition: 2024 is not among the editions 2009, 2012"),
        ({"edition": 2021, "zone": 9}, "code.zone: 9 is not a climate zone from 1 to 8"),
        ({"edition": 2021}, "code.zone: is missing"),
        ({"edition": 2021.5, "zone": 5}, "code.edition: 2021.5 is not a whole number"),
    ],
)
def test_a_code_that_is_not_in_the_tables(data: dict[str, Any], message: str) -> None:
    with pytest.raises(TakeoffError) as refused:
        code(data)
    assert str(refused.value).startswith(message)


@pytest.mark.parametrize("edition", EDITIONS)
def test_colder_zones_never_ask_for_less_at_the_ceiling(edition: int) -> None:
    ceilings = [code_target(edition, zone).ceiling_r for zone in range(1, 9)]
    assert ceilings == sorted(ceilings)


@pytest.mark.parametrize("zone", range(1, 9))
def test_later_editions_never_ask_for_less(zone: int) -> None:
    ceilings = [code_target(edition, zone).ceiling_r for edition in sorted(EDITIONS)]
    assert ceilings == sorted(ceilings)


def test_only_zone_four_may_be_marine() -> None:
    assert code_target(2009, 6, marine=True) == code_target(2009, 6)


@pytest.mark.parametrize("edition", EDITIONS)
def test_a_raised_heel_asks_for_less_than_the_table(edition: int) -> None:
    assert all(enough < required for required, enough in EDITIONS[edition].heel.items())


@given(AREAS, AREAS, st.sampled_from(sorted(EDITIONS)))
def test_the_exception_splits_the_ceiling(
    cathedral: Fraction, rest: Fraction, edition: int
) -> None:
    part = ceiling_without_attic(cathedral, cathedral + rest, edition)
    assert part.covered_ft2 + part.full_ft2 == cathedral
    assert 0 <= part.covered_ft2 <= 500
    assert part.full_ft2 >= 0


@given(AREAS)
def test_the_larger_ratio_is_twice_the_smaller(area: Fraction) -> None:
    assert vent_area_in2(area, 150) == 2 * vent_area_in2(area, 300)


def test_no_other_ratio_of_roof_vents() -> None:
    with pytest.raises(ValueError, match="neither 150 nor 300"):
        vent_area_in2(Fraction(100), 200)
