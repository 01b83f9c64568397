"""Great-circle distances and road factors against outside figures."""

import pytest

from contractor.travel import EARTH_RADIUS_MILES, KM_PER_MILE, TravelSettings, great_circle_miles

BOSTON = (42.3601, -71.0589)
WORCESTER = (42.2626, -71.8023)


def test_one_degree_of_latitude() -> None:
    """π R / 180 with the mean radius 6371.0088 km of GRS 80 (Moritz 2000): 111.195 km."""
    miles = great_circle_miles((41.0, -93.0), (42.0, -93.0))
    assert miles * KM_PER_MILE == pytest.approx(111.195, rel=0.0005)
    assert miles == pytest.approx(69.09, rel=0.0005)


def test_one_degree_of_latitude_by_road() -> None:
    """Road factor 1.20 for the US: Ballou, Rahardja and Sakai 2002, Transp. Res. A 36:843-848."""
    miles = great_circle_miles((41.0, -93.0), (42.0, -93.0))
    assert 1.20 * miles == pytest.approx(82.9, rel=0.0005)


def test_boston_to_worcester() -> None:
    """City centres by their published coordinates: 62.08 km, 38.58 miles (own reckoning)."""
    miles = great_circle_miles(BOSTON, WORCESTER)
    assert miles * KM_PER_MILE == pytest.approx(62.08, rel=0.001)
    assert miles == pytest.approx(38.58, rel=0.001)
    assert 1.2 * miles == pytest.approx(46.3, rel=0.001)


def test_los_angeles_to_new_york() -> None:
    """Williams, Aviation Formulary, worked example: 0.623585 radians (from memory)."""
    los_angeles = (33 + 57 / 60, -(118 + 24 / 60))
    new_york = (40 + 38 / 60, -(73 + 47 / 60))
    radians = great_circle_miles(los_angeles, new_york) / EARTH_RADIUS_MILES
    assert radians == pytest.approx(0.623585, abs=1e-6)


def test_default_road_factor_lies_between_the_published_ones_for_short_and_long_ways() -> None:
    """1.2 nationally (Ballou and others 2002; Newell 1980), up to about 1.417 (Boscoe 2012)."""
    assert 1.2 <= TravelSettings().road_factor <= 1.417
