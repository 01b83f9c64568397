"""Stated chances are set right by what crews met; few visits change nothing."""

import random

import pytest

from jobs.conditions.calibration import FEWEST_VISITS, IDENTITY, PastVisit, calibration_of


def test_few_visits_leave_chances_as_stated() -> None:
    few = [PastVisit(0.8, started=False)] * (FEWEST_VISITS - 1)
    assert calibration_of(few) == IDENTITY
    assert IDENTITY.at(0.37) == 0.37


def test_pools_by_hand() -> None:
    """Shares 0.4, 0.2, 0.9 of twenty visits each: the first two violate and pool to 0.3."""
    visits = [
        PastVisit(stated, number < 20 * share)
        for stated, share in ((0.5, 0.4), (0.6, 0.2), (0.9, 0.9))
        for number in range(20)
    ]
    found = calibration_of(visits)
    assert [stated for stated, _ in found.points] == pytest.approx([0.55, 0.9])
    assert [share for _, share in found.points] == pytest.approx([0.3, 0.9])
    # 60 visits weigh 60 / 110 against the stated chance.
    assert found.at(0.9) == pytest.approx(0.9)
    assert found.at(0.55) == pytest.approx(0.55 * 50 / 110 + 0.3 * 60 / 110)
    assert (found.at(0), found.at(1)) == (0, 1)


def test_too_hopeful_chances_come_down_and_stay_in_order() -> None:
    draw = random.Random(5)
    visits = [
        PastVisit(s, draw.random() < s**2) for s in (draw.uniform(0.3, 0.99) for _ in range(900))
    ]
    found = calibration_of(visits)
    line = [found.at(number / 1000) for number in range(1001)]
    assert line == sorted(line)
    assert found.at(0.7) == pytest.approx(0.49, abs=0.08)
