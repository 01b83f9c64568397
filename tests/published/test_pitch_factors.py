"""Roof pitch: factors and a worked run on hunker.com (read), the table by computation."""

from fractions import Fraction

import pytest

from jobs.estimating.geometry import pitch_factor, slope_length_ft

FACTORS = {
    2: 1.0138, 3: 1.0308, 4: 1.0541, 5: 1.0833, 6: 1.1180, 7: 1.1577,
    8: 1.2019, 9: 1.2500, 10: 1.3017, 12: 1.4142, 14: 1.5366, 18: 1.8028,
}  # fmt: skip


@pytest.mark.parametrize(("rise", "factor"), FACTORS.items())
def test_pitch_factor(rise: int, factor: float) -> None:
    assert float(pitch_factor(Fraction(rise))) == pytest.approx(factor, abs=0.0001)


def test_nine_in_twelve_is_exact() -> None:
    assert pitch_factor(Fraction(9)) == Fraction(5, 4)


def test_a_run_of_14_ft_at_4_in_12() -> None:
    # The page rounds to 14.75.
    assert float(slope_length_ft(Fraction(14), Fraction(4))) == pytest.approx(14.757, abs=0.01)
