"""Charts as they are entered: rows against themselves, order, dates, cavity charts."""

from typing import Any

import pytest

from jobs.estimating import TakeoffError, check_cavity_chart, check_chart, dates_fault
from tests.jobs.estimating.takeoffs import ATTIC, codes

GOOD: dict[str, Any] = {
    "r": 49,
    "initial_in": 16.47,
    "settled_in": 14,
    "lb_per_ft2": 1.867,
    "bags_per_1000_ft2": 74.7,
    "ft2_per_bag": 13.4,
}
LABEL = [{"r": r, "lb_per_ft2": r / 30} for r in (13, 19, 22, 30, 38, 49)]


def found(*rows: dict[str, Any], **product: Any) -> list[tuple[Any, Any]]:
    findings = check_chart(rows, **product)
    return [(one["row"], one["code"]) for one in findings if one["code"] != "chart_label_r"]


def test_a_row_that_agrees_with_itself() -> None:
    assert found(GOOD, bag_lb=25, settle=0.15, settled_lb_per_ft3=1.6) == []


@pytest.mark.parametrize(
    "change",
    [
        {"initial_in": 17.5},  # thickness against settling
        {"lb_per_ft2": 1.95},  # weight against bags, coverage and density
        {"bags_per_1000_ft2": 77},  # bags against coverage and weight
        {"ft2_per_bag": 13.0},  # coverage against bags and weight
        {"settled_in": 14.5, "initial_in": 17.06},  # thickness against weight
    ],
)
def test_more_than_two_per_cent_is_flagged(change: dict[str, Any]) -> None:
    findings = found({**GOOD, **change}, bag_lb=25, settle=0.15, settled_lb_per_ft3=1.6)
    assert set(findings) == {(0, "chart_row")}


@pytest.mark.parametrize(("bags", "flagged"), [(98.1, 0), (97.9, 1), (102.0, 0), (102.1, 1)])
def test_the_two_per_cent_are_of_the_larger(bags: float, flagged: int) -> None:
    assert len(found({"r": 19, "bags_per_1000_ft2": bags, "ft2_per_bag": 10})) == flagged


def test_a_higher_r_with_less_is_out_of_order() -> None:
    low = {"r": 30, "lb_per_ft2": 2, "settled_in": 15, "initial_in": 17}
    assert set(found(GOOD, low)) == {(0, "chart_order")}
    texts = [str(one["text"]) for one in check_chart([GOOD, low])]
    assert "R-49 has less settled in than R-30" in texts


def test_fill_that_does_not_settle_is_allowed() -> None:
    assert found({"r": 49, "lb_per_ft2": 2, "initial_in": 14, "settled_in": 14}) == []


def test_weights_out_of_order_are_seen_by_bags_too() -> None:
    rows = [{"r": 30, "bags_per_1000_ft2": 50}, {"r": 49, "bags_per_1000_ft2": 40}]
    assert found(*rows, bag_lb=25) == [(1, "chart_order")]
    assert found(*rows) == []  # no weight is known without the bag's


def test_an_r_that_stands_twice() -> None:
    assert found(GOOD, GOOD) == [(1, "chart_twice")]


def test_a_chart_by_strings_as_a_sheet_gives_it() -> None:
    row = {"r": "49", "lb_per_ft2": "28/15", "bags_per_1000_ft2": "74.7"}
    assert found(row, bag_lb="25") == []


@pytest.mark.parametrize(
    ("row", "path"),
    [
        ({"r": "R-49"}, "chart[0].r"),
        ({"r": 49}, "chart[0].lb_per_ft2"),
        ({"r": 49, "lb_per_ft2": 1, "initial_in": 3, "settled_in": 4}, "chart[0].initial_in"),
    ],
)
def test_a_row_that_cannot_be_read(row: dict[str, Any], path: str) -> None:
    with pytest.raises(TakeoffError) as refused:
        check_chart([row])
    assert refused.value.path == path


def test_a_product_s_figure_that_cannot_be_read() -> None:
    with pytest.raises(TakeoffError, match="bag_lb: 'heavy' is not a number"):
        check_chart(LABEL, bag_lb="heavy")


def test_a_deeper_cavity_with_less_r() -> None:
    rows = [{"depth_in": 5.5, "r": 19}, {"depth_in": 7.25, "r": 18}]
    (finding,) = check_cavity_chart(rows)
    assert (finding["row"], finding["code"]) == (1, "chart_order")
    assert check_cavity_chart([rows[0], {"depth_in": 7.25, "r": 25}]) == []


@pytest.mark.parametrize(
    ("first", "last", "on", "fault"),
    [
        ("", "", "2027-03-01", ""),
        ("2027-01-01", "2027-12-31", "2027-03-01", ""),
        ("2027-04-01", "", "2027-03-01", "the chart holds from 2027-04-01 on"),
        ("", "2027-02-28", "2027-03-01", "the chart held until 2027-02-28"),
        ("2027-04-01", "2027-01-01", "", "before it begins"),
        ("2027-04-01", "", "", ""),
    ],
)
def test_validity_dates(first: str, last: str, on: str, fault: str) -> None:
    assert fault in dates_fault(first, last, on)
    assert bool(fault) == bool(dates_fault(first, last, on))


def test_a_chart_out_of_its_dates_is_told_in_the_estimate() -> None:
    old = {"cellulose": {"kind": "loose_fill", "valid_to": "2026-12-31"}}
    assert codes(ATTIC, materials=old, date="2027-01-01") == ["chart_dates"]
    assert codes(ATTIC, materials=old, date="2026-12-31") == []
