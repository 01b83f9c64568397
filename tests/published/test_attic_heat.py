"""Heat in attics: FSEC-CR-1220-00 (read), OSHA's proposed rule of 30 Aug 2024 (read, not final)."""

from fractions import Fraction

import pytest

from jobs.estimating.heat import Heat


def test_an_attic_under_dark_shingles() -> None:
    # Outdoor 92 F: about 132 F in the attic, give or take 10.
    assert float(Heat(Fraction(92)).attic_f) == pytest.approx(132, abs=10)


@pytest.mark.parametrize(
    ("minutes", "rests"), [(0, 0), (60, 0), (120, 0), (121, 15), (240, 15), (241, 30), (480, 45)]
)
def test_fifteen_minutes_of_rest_in_every_two_hours(minutes: int, rests: int) -> None:
    # High trigger, 90 F.
    assert Heat(Fraction(92)).rest_minutes(Fraction(minutes)) == rests


def test_the_triggers_are_held_against_the_attic_s_air() -> None:
    cool, warm, hot = (Heat(Fraction(outdoor)) for outdoor in (39, 45, 50))
    assert (cool.start_early, warm.start_early, hot.start_early) == (False, True, True)
    assert [heat.rest_minutes(Fraction(240)) for heat in (cool, warm, hot)] == [0, 0, 15]
