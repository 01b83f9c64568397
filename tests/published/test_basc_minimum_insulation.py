"""PNNL Building America Solution Center, "2009-2021 IECC and IRC minimum insulation". Read.

The rows of 2015, 2018 and 2021 were read; 2009 and 2012 stand in the code from memory and are not
checked here against anything but themselves.
"""

import pytest

from jobs.estimating import EDITIONS, code_target
from jobs.estimating.codes import MEMORY, READ

CEILING = {
    2015: [30, 38, 38, 49, 49, 49, 49, 49],
    2018: [30, 38, 38, 49, 49, 49, 49, 49],
    2021: [30, 49, 49, 60, 60, 60, 60, 60],
}


@pytest.mark.parametrize("edition", CEILING)
def test_ceilings_by_zone(edition: int) -> None:
    read = [code_target(edition, zone).ceiling_r for zone in range(1, 9)]
    assert read == CEILING[edition]


@pytest.mark.parametrize(
    ("edition", "zone", "wall"),
    [
        (2018, 1, ("13",)),
        (2018, 3, ("20", "13+5")),
        (2018, 5, ("20", "13+5")),
        (2018, 6, ("20+5", "13+10")),
        (2021, 2, ("13", "0+10ci")),
        (2021, 3, ("20", "13+5ci", "0+15ci")),
        (2021, 4, ("30", "20+5ci", "13+10ci", "0+20ci")),
        (2021, 7, ("20+5", "13+10")),
    ],
)
def test_wood_frame_walls(edition: int, zone: int, wall: tuple[str, ...]) -> None:
    assert code_target(edition, zone).wall == wall


def test_marine_four_counts_as_five() -> None:
    assert code_target(2009, 4).ceiling_r == code_target(2009, 5).ceiling_r
    assert code_target(2009, 4, marine=True).wall == code_target(2009, 5).wall
    assert code_target(2009, 4, marine=True).wall != code_target(2009, 4).wall


def test_a_target_names_its_table_and_says_who_decides() -> None:
    target = code_target(2021, 5)
    assert "IECC 2021 table R402.1.3" in target.sentence()
    assert "The adopted local code decides." in target.sentence()


def test_how_each_edition_was_come_by() -> None:
    assert {year: table.source for year, table in EDITIONS.items()} == {
        2009: MEMORY,
        2012: MEMORY,
        2015: READ,
        2018: READ,
        2021: READ,
    }


@pytest.mark.parametrize(("edition", "zone"), [(2024, 5), (2021, 0), (2021, 9)])
def test_what_was_not_read_is_refused(edition: int, zone: int) -> None:
    # What could be read of 2024 contradicts itself.
    with pytest.raises(ValueError, match="is not"):
        code_target(edition, zone)
