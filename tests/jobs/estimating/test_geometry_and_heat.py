"""Geometry and heat as plain functions: units, limits and round trips."""

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.estimating.geometry import (
    bay_volume_ft3,
    bead_board_ft,
    clear_width_in,
    fill_depth_in,
    initial_depth_in,
    pitch_factor,
    slope_length_ft,
)
from jobs.estimating.heat import Heat, read_heat
from jobs.estimating.reading import Node, TakeoffError

POSITIVE = st.fractions("1/64", 500, max_denominator=64)


def test_a_cubic_foot_is_one() -> None:
    assert bay_volume_ft3(Fraction(12), Fraction(12), Fraction(1)) == 1


def test_clear_width_and_fill_depth() -> None:
    assert clear_width_in(Fraction(16), Fraction("1.5")) == Fraction("14.5")
    assert fill_depth_in(Fraction("9.25"), Fraction(1)) == Fraction("8.25")


@given(POSITIVE, POSITIVE, POSITIVE)
def test_twice_the_length_is_twice_the_volume(
    width: Fraction, depth: Fraction, length: Fraction
) -> None:
    assert bay_volume_ft3(width, depth, 2 * length) == 2 * bay_volume_ft3(width, depth, length)


@given(POSITIVE)
def test_a_flat_roof_s_slope_is_its_run(run: Fraction) -> None:
    assert slope_length_ft(run, Fraction(0)) == run


@given(st.integers(0, 36))
def test_a_steeper_roof_is_longer(rise: int) -> None:
    assert pitch_factor(Fraction(rise)) < pitch_factor(Fraction(rise + 1))


@given(POSITIVE, st.fractions(0, "4/5", max_denominator=100))
def test_settling_is_undone_by_settling(settled: Fraction, settle: Fraction) -> None:
    initial = initial_depth_in(settled, settle)
    assert (initial - settled) / initial == settle


@given(POSITIVE)
def test_twice_the_diameter_is_four_times_the_foam(length: Fraction) -> None:
    thin, thick = (bead_board_ft(length, Fraction(text)) for text in ("1/4", "1/2"))
    assert thick == 4 * thin


def heat(data: dict[str, Any]) -> Heat | None:
    return read_heat(Node(data, "heat", {}))


def test_heat_is_off_unless_it_is_asked_for() -> None:
    assert heat({}) is None
    assert heat({"on": False, "outdoor_f": 99}) is None
    assert heat({"outdoor_f": 99}) == Heat(Fraction(99))


def test_heat_needs_the_outdoor_air() -> None:
    with pytest.raises(TakeoffError, match=r"heat.outdoor_f: is missing; expected a number of F"):
        heat({"on": True})


def test_a_lighter_roof_may_be_told() -> None:
    mild = heat({"outdoor_f": 70, "rise_f": 10})
    assert mild is not None
    assert mild.attic_f == 80
    assert mild.start_early
    assert mild.rest_minutes(Fraction(600)) == 0


@given(st.fractions(0, 2000, max_denominator=60))
def test_rests_never_shrink_with_more_work(minutes: Fraction) -> None:
    hot = Heat(Fraction(95))
    assert hot.rest_minutes(minutes) <= hot.rest_minutes(minutes + 1)
    assert hot.rest_minutes(minutes) <= minutes / 8
