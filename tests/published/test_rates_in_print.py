"""Machine and labour rates in print: owners' logs and books. None is a standard."""

from typing import Any

import pytest

from jobs.estimating import defaults, estimate_takeoff
from tests.jobs.estimating.takeoffs import ATTIC, SLOPE, WALL, step


def open_blow(**machine: object) -> dict[str, Any]:
    return step(ATTIC, machine=machine, hose_hand={"spread_ft2_per_hour": 100_000})


def test_112_bags_of_25_lb_at_600_lb_an_hour() -> None:
    # Computed: 2,800 / 600 = 4.67 h.
    assert open_blow(lb_per_hour={"open": 600})["machine_minutes"] / 60 == pytest.approx(
        4.67, rel=0.01
    )


def test_the_hopper_caps_a_strong_machine() -> None:
    # 60 bags an hour at most (from memory): 1.87 h, not 0.93.
    blow = open_blow(lb_per_hour={"open": 3000}, feed_bags_per_hour=60)
    assert blow["machine_minutes"] / 60 == pytest.approx(1.87, rel=0.01)
    assert blow["paced_by"] == "feeder"


def test_a_rental_machine_s_30_bags_in_70_minutes() -> None:
    # superinsulatedfarmhouse.blogspot.com, 28 Jun 2009 (secondary): 20 to 26 bags an hour.
    row = [{"r": 49, "bags_per_1000_ft2": 30}]
    blow = step(
        {**ATTIC, "area_ft2": 1000},
        materials={"cellulose": {"kind": "loose_fill", "chart": row}},
        machine={"lb_per_hour": {"open": 640}},
    )
    assert blow["bags"] == 30
    assert blow["machine_minutes"] == pytest.approx(70, rel=0.01)


def test_dense_defaults_lie_in_the_stated_share_of_the_open_rate() -> None:
    # 0.15 to 0.5 of the open rate (from memory; logs 0.4).
    dense = step(SLOPE, machine={"lb_per_hour": {"open": 2000}})["lb_per_hour"]
    assert 0.15 <= dense / 2000 <= 0.5


def test_the_default_machine_is_a_truck_s() -> None:
    # Truck-mounted machines: 2,000 to 3,600 lb/h of cellulose, open (from memory).
    assert 2000 <= float(defaults.OPEN_LB_PER_HOUR.value) <= 3600


def test_a_flat_with_default_rates_lies_in_the_prior_s_span() -> None:
    # 3 to 8 labour-hours per 1,000 ft2 of new R-49, set-up included (prior, from memory).
    takeoff = {"format": "takeoff/1", "spaces": [{**ATTIC, "area_ft2": 1000}]}
    totals = estimate_takeoff(takeoff).totals
    assert 3 <= totals.person_minutes / 60 <= 8


def test_batts_with_default_rates_lie_in_the_prior_s_span() -> None:
    # 5 to 12 labour-hours per 1,000 ft2 (prior, from memory).
    assert 5 <= step(WALL)["person_minutes"] / 60 <= 12


def test_slopes_behind_net_with_default_rates_lie_in_the_prior_s_span() -> None:
    # 10 to 30 labour-hours per 1,000 ft2, net included (prior, from memory).
    slope = {**SLOPE, "bays": 47, "cover": "net"}
    (found,) = estimate_takeoff({"format": "takeoff/1", "spaces": [slope]}).spaces
    area = 47 * 16 * 16 / 12
    hours = sum(each.person_minutes for each in found.steps) / 60
    assert 10 <= hours / area * 1000 <= 30


@pytest.mark.parametrize(("spacing", "feet"), [(16, 750), (24, 500)])
def test_feet_of_batt_by_gross_area(spacing: int, feet: int) -> None:
    # issuhub (read): a 15-in batt in a 16-in module covers 1.33 ft2 per ft, framing included.
    assert step({**WALL, "spacing_in": spacing})["batt_ft"] == feet


def test_labour_is_linear_in_depth() -> None:
    # National Construction Estimator, in a BYU-Idaho text (read): priced per 6 in; 15 in is x 2.5.
    rows = [
        {"r": 20, "settled_in": 6, "lb_per_ft2": "0.8"},
        {"r": 50, "settled_in": 15, "lb_per_ft2": 2},
    ]
    material = {"cellulose": {"kind": "loose_fill", "chart": rows}}
    shallow, deep = (
        step({**ATTIC, "target_r": r}, materials=material, hand={"marker_minutes": 0})
        for r in (20, 50)
    )
    assert deep["person_minutes"] == shallow["person_minutes"] * 2.5


def test_removal_of_batts() -> None:
    # 2018 National Home Improvement Estimator, p. 533 (read): 0.003 craft-h/ft2, + 50 % contained.
    plain = step({**WALL, "remove_ft2": 1000}, "removal")
    contained = step({**WALL, "remove_ft2": 1000, "containment": True}, "removal")
    assert plain["person_minutes"] / 60 == pytest.approx(3.0, rel=0.01)
    assert contained["person_minutes"] / 60 == pytest.approx(4.5, rel=0.01)
    assert contained["debris_yd3"] == 2
