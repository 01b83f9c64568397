"""Coverage charts in print: illustrative makers' charts, not a standard; the label governs.

The R-19 pair and the fibreglass rows were read on pages of sellers; the settling of 20 % in a
newspaper (Chicago Tribune, 4 Sep 1998). The synthetic chart is computed.
"""

from fractions import Fraction

import pytest

from jobs.estimating import check_chart
from jobs.estimating.geometry import initial_depth_in
from tests.jobs.estimating.takeoffs import ATTIC, codes, step


def faults(**row: object) -> list[str]:
    return [
        str(found["text"])
        for found in check_chart([{"r": 19, **row}])
        if found["code"] == "chart_row"
    ]


def test_a_printed_row_that_contradicts_itself_is_flagged() -> None:
    # 1000 / 53.2 is 18.8 bags, not 20.7: off by 10 %.
    assert faults(ft2_per_bag=53.2, bags_per_1000_ft2=20.7) != []


def test_a_printed_row_that_agrees_is_accepted() -> None:
    assert faults(ft2_per_bag=58.2, bags_per_1000_ft2=17.2) == []


def test_a_flagged_row_warns_in_an_estimate_too() -> None:
    row = {"r": 19, "ft2_per_bag": 53.2, "bags_per_1000_ft2": 20.7}
    material = {"cellulose": {"kind": "loose_fill", "chart": [row]}}
    assert "chart_row" in codes({**ATTIC, "target_r": 19}, materials=material)


def test_settling_is_a_share_of_the_initial_depth() -> None:
    # 16 in settled at 20 %: 20.0 in, not 16 x 1.20 = 19.2. Both are in print.
    assert initial_depth_in(Fraction(16), Fraction("0.20")) == 20


def test_1500_ft2_of_r49_is_112_bags_and_not_113() -> None:
    # 14/12 x 1.6 x 1500 / 25 is 112 exactly; in doubles 112.00000000000001.
    blow = step(ATTIC)
    assert (blow["pounds"], blow["bags"]) == (2800, 112)


@pytest.mark.parametrize(
    ("r", "per_1000", "initial"), [(30, 15, 10.25), (38, 20, 13), (49, 26, 16.5), (60, 32, 20)]
)
def test_fibreglass_rows(r: int, per_1000: int, initial: float) -> None:
    blow = step({**ATTIC, "area_ft2": 1000, "target_r": r, "material": "fibreglass"})
    assert (blow["bags"], blow["initial_in"]) == (pytest.approx(per_1000, abs=1), initial)


def test_fibreglass_on_1200_ft2() -> None:
    # 26 bags per 1,000 ft2: 31.2, so 32 bags.
    row = {"r": 49, "initial_in": 16.5, "bags_per_1000_ft2": 26}
    material = {
        "glass": {"kind": "loose_fill", "bag_lb": 28.5, "chart": [row], "like": "fibreglass"}
    }
    assert step({**ATTIC, "area_ft2": 1200, "material": "glass"}, materials=material)["bags"] == 32


def test_three_bags_of_cellulose_to_one_of_fibreglass() -> None:
    # A distributor's training notes say about 3 to 1 (secondary).
    cellulose = step({**ATTIC, "area_ft2": 10_000})["bags"]
    fibreglass = step({**ATTIC, "area_ft2": 10_000, "material": "fibreglass"})["bags"]
    assert cellulose / fibreglass == pytest.approx(2.9, abs=0.1)
