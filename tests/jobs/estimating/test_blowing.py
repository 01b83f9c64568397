"""The pace: which rate holds, hose and lift, the material's own rate."""

from typing import Any

import pytest

from tests.jobs.estimating.takeoffs import ATTIC, SLOPE, step


def pace(machine: dict[str, Any], space: dict[str, Any] = SLOPE, **more: Any) -> float:
    return float(step(space, machine=machine, **more)["lb_per_hour"])


def test_dense_is_a_share_of_open_where_it_is_not_given() -> None:
    assert pace({"lb_per_hour": {"open": 2000}}) == 800
    assert pace({"lb_per_hour": {"open": 2000}, "dense_share": 0.25}) == 500


def test_open_is_reckoned_back_from_dense() -> None:
    fast = {"lb_per_hour": {"dense": 300}, "feed_bags_per_hour": 90}
    assert pace(fast, ATTIC) == 750


@pytest.mark.parametrize(
    ("hose", "lift", "share"),
    [(100, 12, 1), (50, 5, 1), (200, 12, 0.8), (100, 32, 0.9), (200, 32, 0.7), (1000, 12, 0.2)],
)
def test_hose_and_lift_beyond_the_rating_slow_the_machine(
    hose: int, lift: int, share: float
) -> None:
    machine = {"lb_per_hour": {"dense": 400}, "hose_ft": hose, "lift_ft": lift}
    assert pace(machine) == pytest.approx(400 * share)


def test_the_feeder_does_not_mind_the_hose() -> None:
    machine = {"lb_per_hour": {"open": 5000}, "feed_bags_per_hour": 40, "hose_ft": 200}
    assert pace(machine, ATTIC) == 1000


def test_a_material_may_bring_its_own_rate() -> None:
    material = {"cellulose": {"kind": "loose_fill", "lb_per_hour": {"dense": 333}}}
    assert pace({"lb_per_hour": {"dense": 400}}, materials=material) == 333


def test_a_default_rate_of_a_material_yields_to_the_machine_s() -> None:
    fibreglass = {**SLOPE, "material": "fibreglass", "lb_per_ft3": 2}
    assert pace({}, fibreglass) == 400
    assert pace({"lb_per_hour": {"dense": 380}}, fibreglass) == 380


def test_the_feeder_counts_bags_of_the_material() -> None:
    machine = {"lb_per_hour": {"open": 9000}, "feed_bags_per_hour": 60}
    assert pace(machine, ATTIC, materials={"cellulose": {"bag_lb": 20}}) == 1200


def test_equal_paces_name_the_machine() -> None:
    machine = {"lb_per_hour": {"open": 1500}, "feed_bags_per_hour": 60}
    assert step(ATTIC, machine=machine)["paced_by"] == "machine"
