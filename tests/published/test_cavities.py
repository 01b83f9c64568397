"""Cavities: a forum's cathedral bay, a maker's wall cavity, Karg's densities, a worked house."""

from fractions import Fraction
from typing import Any

import pytest

from jobs.estimating.cautions import DOUBTFUL_DENSITY, density_verdict
from jobs.estimating.geometry import bay_volume_ft3, slope_length_ft
from tests.jobs.estimating.takeoffs import SLOPE, step

BAY = bay_volume_ft3(Fraction("14.5"), Fraction("9.5"), Fraction("13.5"))


def test_volume_of_a_cathedral_bay() -> None:
    # 14.5 x 9.5 in x 13.5 ft; computed.
    assert float(BAY) == pytest.approx(12.914, rel=0.001)
    assert float(BAY * Fraction("3.5")) == pytest.approx(45.2, rel=0.001)
    assert float(BAY * Fraction("2.5")) == pytest.approx(32.3, rel=0.001)


def test_a_rental_machine_on_that_bay() -> None:
    # finehomebuilding.com forum (secondary): 20 minutes at least a bay, so 97 lb/h at most.
    bay = {**SLOPE, "bays": 1, "length_ft": 13.5, "depth_in": 10.5, "lb_per_ft3": 2.5}
    machine = {"lb_per_hour": {"open": 97, "dense": 97}}
    found = step(bay, machine=machine, hose_hand={"minutes_per_bay": 0})
    assert found["minutes_per_bay"] == pytest.approx(20, rel=0.01)


def test_a_maker_s_2x6_cavity() -> None:
    # 5.5 x 14.5 x 93 in = 7,416 in3 = 4.29 ft3; read in a maker's worked example.
    volume = bay_volume_ft3(Fraction("14.5"), Fraction("5.5"), Fraction(93, 12))
    assert float(volume * 1728) == pytest.approx(7416, rel=0.001)
    assert float(volume) == pytest.approx(4.29, rel=0.001)


@pytest.mark.parametrize(
    ("density", "verdict"),
    [("3.1", "fail"), ("3.2", "warn"), ("3.4", "warn"), ("3.5", "pass"), ("4", "pass")],
)
def test_dense_pack_densities(density: str, verdict: str) -> None:
    # Karg, National Weatherization Conference 2005 (read): 3.5 lb/ft3; 3.2 "probably OK".
    assert density_verdict(Fraction(density), Fraction("3.5"), DOUBTFUL_DENSITY) == verdict


@pytest.mark.parametrize(
    ("spacing", "bays", "volume", "pounds", "bags"),
    [(24, 20, 1002.7, 3510, 141), (16, 30, 969.3, 3393, 136)],
)
def test_a_cathedral_gable_of_28_by_40(
    spacing: int, bays: int, volume: float, pounds: float, bags: int
) -> None:
    # 6/12, 2x12, 1-in vent, 3.5 lb/ft3, bags of 25 lb; computed by hand.
    house: dict[str, Any] = {
        **SLOPE,
        "bays": 2 * bays,
        "length_ft": None,
        "run_ft": 14,
        "pitch": 6,
        "depth_in": 11.25,
        "spacing_in": spacing,
    }
    blow = step(house)
    assert blow["bags"] == bags
    assert blow["volume_ft3"] == pytest.approx(volume, rel=0.001)
    assert blow["pounds"] == pytest.approx(pounds, rel=0.001)


def test_slope_length_of_that_house() -> None:
    assert float(slope_length_ft(Fraction(14), Fraction(6))) == pytest.approx(15.652, abs=0.001)


def test_common_practice_a_16_ft_bay_takes_three_to_four_minutes() -> None:
    # Common practice, no source: 2x10 rafters at 16 in, hose from the attic, default rates.
    bay = {"kind": "slope_bays", "bays": 1, "length_ft": 16, "depth_in": 9.25, "spacing_in": 16}
    for given in ({}, {"vent_in": 1, "lb_per_ft3": 3.5}, {"vent_in": 1, "lb_per_ft3": 2.5}):
        found = step({**bay, **given}, machine={}, hose_hand={})
        assert 3 <= found["minutes_per_bay"] <= 4
