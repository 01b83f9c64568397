"""Taps that come late, twice and in any order are stored once each, and the plan stays as it is."""

from typing import Any

import pytest

from tests.people import Company
from tests.trust.disk import Disk, Figure, disk, figure
from tests.trust.fact_crowd import TAPS, taps_crowded

__all__ = ["disk", "figure"]


def crowd_holds(crowded: dict[str, Any], figure: Figure) -> None:
    figure("taps sent again, shuffled, on six connections", crowded)
    sends = crowded.pop("sends")
    assert TAPS < sends <= 4 * TAPS
    assert crowded == {
        "taps": TAPS,
        "refused": 0,
        "stored": TAPS,
        "wrong": 0,
        "revisions": 0,
        "same_day": True,
    }


@pytest.mark.sqlite_only
def test_three_hundred_taps_on_a_file(disk: Disk, figure: Figure) -> None:
    crowd_holds(disk.call("tests.trust.fact_crowd", "1"), figure)


@pytest.mark.services
@pytest.mark.django_db(transaction=True)
def test_three_hundred_taps_on_a_server(company: Company, figure: Figure) -> None:
    crowd_holds(taps_crowded(company, 2), figure)
