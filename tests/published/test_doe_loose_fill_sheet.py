"""The DOE loose-fill fact sheet, as reproduced on several pages. Read there.

Its board limits are one board maker's advice of decades ago; its densities and weights agree with
one another.
"""

from fractions import Fraction

import pytest

from jobs.estimating.cautions import LOAD_24_IN, board_limit_lb_per_ft2, board_load, density_verdict
from jobs.estimating.geometry import bay_volume_ft3
from tests.jobs.estimating.takeoffs import ATTIC, codes, step

R49 = Fraction(28, 15)
R60 = Fraction("2.286")
HALF, FIVE_EIGHTHS = Fraction(1, 2), Fraction(5, 8)


@pytest.mark.parametrize(
    ("load", "board", "framing", "carried"),
    [
        (R49, HALF, 24, False),
        (R49, FIVE_EIGHTHS, 24, True),
        (R49, HALF, 16, True),
        (R60, FIVE_EIGHTHS, 24, False),
        (Fraction("1.3"), HALF, 24, True),
        (Fraction("2.2"), HALF, 16, True),
    ],
)
def test_loads_on_ceiling_boards(
    load: Fraction, board: Fraction, framing: int, carried: bool
) -> None:
    assert (board_load(load, board, Fraction(framing)) is None) is carried


def test_limits() -> None:
    assert board_limit_lb_per_ft2(HALF, Fraction(24)) == Fraction("1.3")
    assert board_limit_lb_per_ft2(HALF, Fraction(16)) == Fraction("2.2")
    assert board_limit_lb_per_ft2(FIVE_EIGHTHS, Fraction(24)) == Fraction("2.2")


def test_the_deepest_fill_that_half_an_inch_at_24_carries() -> None:
    # 1.3 lb/ft2 at 1.6 lb/ft3 is 9.75 in settled (computed from the sheet's figures).
    assert LOAD_24_IN / Fraction("1.6") * 12 == Fraction("9.75")
    row = [{"r": 34, "settled_in": "9.75", "initial_in": 12, "lb_per_ft2": "1.3"}]
    material = {"cellulose": {"kind": "loose_fill", "chart": row}}
    assert codes({**ATTIC, "target_r": 34, "board_in": 0.5}, materials=material) == []


def test_weight_of_r38_lies_in_the_sheet_s_span() -> None:
    # Cellulose 1.25 to 2.0 lb/ft2 at R-38; fibreglass 0.5 to 1.2.
    assert 1.25 <= step({**ATTIC, "target_r": 38})["lb_per_ft2"] <= 2.0
    assert 0.5 <= step({**ATTIC, "target_r": 38, "material": "fibreglass"})["lb_per_ft2"] <= 1.2


def test_one_bag_of_30_lb_fills_three_wall_cavities() -> None:
    # One 30-lb bag of cellulose for three 8-ft 2x4 cavities at 16 in: 3.68 lb/ft3, over 3.5.
    cavity = bay_volume_ft3(Fraction("14.5"), Fraction("3.5"), Fraction("92.625") / 12)
    assert float(3 * cavity) == pytest.approx(8.161, rel=0.005)
    density = 30 / (3 * cavity)
    assert float(density) == pytest.approx(3.68, rel=0.005)
    assert density_verdict(density, Fraction("3.5")) == "pass"


def test_three_counted_cavities_take_one_bag_of_30_lb() -> None:
    wall = {
        "kind": "walls",
        "cavities": 3,
        "height_in": "92.625",
        "depth_in": 3.5,
        "material": "cellulose",
        "lb_per_ft3": 3.5,
    }
    fill = step(wall, materials={"cellulose": {"kind": "loose_fill", "bag_lb": 30}})
    assert fill["volume_ft3"] == pytest.approx(8.161, rel=0.005)
    assert fill["bags"] == 1
