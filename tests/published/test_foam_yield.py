"""Foam: board-feet of a bead by geometry; a 25-oz can's "1,200 ft of 1/2-in bead" (secondary)."""

from fractions import Fraction

import pytest

from jobs.estimating.defaults import AIR_SEAL, MATERIALS
from jobs.estimating.geometry import bead_board_ft

HALF = Fraction(1, 2)


def test_100_ft_of_half_inch_bead() -> None:
    board_ft = float(bead_board_ft(Fraction(100), HALF))
    assert board_ft * 144 == pytest.approx(235.6, rel=0.005)
    assert board_ft == pytest.approx(1.64, rel=0.005)


def test_three_eighths_of_an_inch() -> None:
    assert float(bead_board_ft(Fraction(1), Fraction(3, 8)) * 144) == pytest.approx(
        1.325, rel=0.001
    )


def test_top_plates_are_reckoned_as_half_inch_bead() -> None:
    assert float(AIR_SEAL["top_plate"][2]) == pytest.approx(
        float(bead_board_ft(Fraction(1), HALF)), rel=0.001
    )


def test_a_can_is_taken_below_its_upper_bound() -> None:
    # 1,200 ft of 1/2-in bead is 19.6 board-feet of a 25-oz can, an upper bound.
    upper = float(bead_board_ft(Fraction(1200), HALF))
    assert upper == pytest.approx(19.6, rel=0.005)
    assert float(str(MATERIALS["foam"]["can_board_ft"])) < upper
