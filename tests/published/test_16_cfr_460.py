"""The R-value rule, 16 CFR 460.12 and 460.17, as amended 84 FR 20790 (13 May 2019). Read."""

from typing import Any

import pytest

from jobs.estimating import TakeoffError, check_chart
from jobs.estimating.defaults import MATERIALS
from tests.jobs.estimating.takeoffs import ATTIC, SLOPE, codes, estimate, step

LABEL = [13, 19, 22, 30, 38, 49]


def rows(*r_values: int) -> list[dict[str, Any]]:
    return [{"r": r, "lb_per_ft2": r / 26} for r in r_values]


@pytest.mark.parametrize("missing", LABEL)
def test_a_chart_that_lacks_an_r_of_the_label_is_warned_about(missing: int) -> None:
    # 460.12(b)(2): R-13, 19, 22, 30, 38 and 49 must stand on a loose-fill label.
    (finding,) = check_chart(rows(*(r for r in LABEL if r != missing)))
    assert finding["code"] == "chart_label_r"
    assert f"R-{missing} " in str(finding["text"])


def test_a_full_label_is_not_warned_about() -> None:
    assert check_chart(rows(*LABEL)) == []


def test_an_r_off_the_chart_takes_the_next_higher_row() -> None:
    # 460.17: what a customer is shown comes from the chart; nothing lies between two rows.
    blow = step({**ATTIC, "target_r": 44})
    assert (blow["r"], blow["settled_in"], blow["bags"]) == (49, 14, 112)
    assert "target_not_on_chart" in codes({**ATTIC, "target_r": 44})


def test_an_r_above_the_chart_is_refused() -> None:
    with pytest.raises(TakeoffError):
        step({**ATTIC, "target_r": 61})


def test_parts_of_a_house_are_never_added_up() -> None:
    # 460.17: no total of areas, no total of R-values.
    found = estimate({**ATTIC, "area_ft2": 1000}, {**SLOPE, "target_r": 28})
    assert [space["steps"][-1]["r"] for space in found["spaces"]] == [49, 28]
    assert not [name for name in found["totals"] if "ft2" in name or name == "r"]


def test_r_of_a_slope_is_the_chart_s_and_not_inches_times_r_per_inch() -> None:
    # 460.17: R per inch is never multiplied. 8.25 in x 3.5 would be 28.9; the chart says 28.
    assert step(SLOPE)["r"] == 28
    cavity: dict[str, Any] = {"kind": "loose_fill", "cavity_chart": [{"depth_in": 9, "r": 33}]}
    assert step(SLOPE, materials={"cellulose": cavity})["r"] is None


def test_the_generic_charts_hold_together() -> None:
    cellulose = MATERIALS["cellulose"]
    chart: Any = cellulose["chart"]
    assert check_chart(chart, bag_lb="25", settle="0.15", settled_lb_per_ft3="1.6") == []
