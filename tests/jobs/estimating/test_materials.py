"""Materials: the takeoff's over the defaults, what is missing, the nearer density, batts."""

from fractions import Fraction
from typing import Any

import pytest

from jobs.estimating import TakeoffError, estimate_takeoff
from jobs.estimating.materials import read_materials
from jobs.estimating.reading import Node
from tests.jobs.estimating.takeoffs import ATTIC, SLOPE, WALL, estimate, step


def read(materials: dict[str, Any], name: str = "cellulose") -> Any:
    return read_materials(Node({"materials": materials}, "", {}))[name]


def test_the_defaults_are_there_without_being_named() -> None:
    found = read_materials(Node({}, "", {}))
    assert list(found) == ["cellulose", "fibreglass", "batts", "foam"]
    assert all(material.default for material in found.values())


def test_what_is_given_lies_over_the_default() -> None:
    found = read({"cellulose": {"bag_lb": 30, "fill_lb_per_ft3": {"open": 1.8}}})
    assert found.bag_lb == 30
    assert found.fill_lb_per_ft3 == {"dense": Fraction("3.5"), "open": Fraction("1.8")}
    assert not found.default


def test_what_is_taken_from_a_default_is_noted() -> None:
    noted = estimate(ATTIC, materials={"cellulose": {"bag_lb": 25}})["assumed"]
    paths = [entry["path"] for entry in noted]
    assert "materials.cellulose.chart" in paths
    assert "materials.cellulose.bag_lb" not in paths


def test_a_product_may_be_like_a_default() -> None:
    mine = {"mine": {"kind": "loose_fill", "like": "fibreglass", "bag_lb": 30}}
    found = read(mine, "mine")
    assert (found.name, found.bag_lb) == ("mine", 30)
    assert found.dense_min_lb_per_ft3 == Fraction("1.5")


def test_a_product_like_nothing_must_bring_its_own() -> None:
    bare: dict[str, Any] = {"mine": {"kind": "loose_fill"}}
    row = [{"r": 49, "lb_per_ft2": 2}]
    with pytest.raises(TakeoffError, match=r"spaces\[0\].target_r: the material has no coverage"):
        step({**ATTIC, "material": "mine"}, materials=bare)
    with pytest.raises(TakeoffError, match=r"materials.mine.bag_lb: is missing"):
        step({**ATTIC, "material": "mine"}, materials={"mine": {**bare["mine"], "chart": row}})
    with pytest.raises(TakeoffError, match=r"materials.mine.fill_lb_per_ft3.dense: is missing"):
        step({**SLOPE, "material": "mine", "lb_per_ft3": None}, materials=bare)


def test_a_word_for_likeness_that_is_not_known() -> None:
    with pytest.raises(TakeoffError, match=r"materials.mine.like: 'wool' is not known"):
        read({"mine": {"kind": "loose_fill", "like": "wool"}}, "mine")


def test_a_material_that_nobody_knows_names_those_that_are() -> None:
    with pytest.raises(TakeoffError, match="expected one of batts, cellulose, fibreglass, foam"):
        step({**ATTIC, "material": "straw"})


@pytest.mark.parametrize(
    ("fills", "density", "fill"),
    [
        ({"dense": 3.5, "open": 1.6}, "2.54", "open"),
        ({"dense": 3.5, "open": 1.6}, "2.55", "dense"),
        ({"dense": 3.5, "open": 1.6}, "5", "dense"),
        ({"dense": 2, "open": 0.7}, "1.3", "open"),
    ],
)
def test_the_nearer_density(fills: dict[str, float], density: str, fill: str) -> None:
    found = read({"cellulose": {"fill_lb_per_ft3": fills}})
    assert found.nearest_fill(Fraction(density)) == fill


def test_one_density_alone_is_the_nearest() -> None:
    found = read({"mine": {"kind": "loose_fill", "fill_lb_per_ft3": {"open": 1.6}}}, "mine")
    assert found.nearest_fill(Fraction(4)) == "open"
    none = read({"mine": {"kind": "loose_fill"}}, "mine")
    assert none.nearest_fill(Fraction(1)) == "dense"


@pytest.mark.parametrize(
    ("row", "pounds"),
    [
        ({"lb_per_ft2": "28/15"}, 2800),
        ({"bags_per_1000_ft2": 74}, 2775),
        ({"ft2_per_bag": 12.5}, 3000),
        ({"lb_per_ft2": "28/15", "bags_per_1000_ft2": 74.7, "ft2_per_bag": 13.4}, 2800),
    ],
)
def test_weight_comes_from_the_label_s_own_figure_first(row: dict[str, Any], pounds: int) -> None:
    chart = {"cellulose": {"bag_lb": 25, "chart": [{"r": 49, **row}]}}
    assert step(ATTIC, materials=chart)["pounds"] == pounds


def test_batts_of_the_takeoff_replace_the_default_s() -> None:
    mine = [{"r": 19, "thickness_in": 5.5, "width_in": 15, "package_ft2": 50}]
    found = step(WALL, materials={"batts": {"kind": "batt", "batts": mine}})
    assert (found["r"], found["packages"]) == (19, 19)  # 937.5 / 50 = 18.75


def test_two_materials_are_counted_apart() -> None:
    fibreglass = {**ATTIC, "id": "wing", "material": "fibreglass", "area_ft2": 1000}
    totals = estimate(ATTIC, fibreglass)["totals"]
    assert totals["bags"] == {"cellulose": 112, "fibreglass": 26}  # 1,000 x 0.741 / 28.5 = 26


def test_materials_that_are_not_used_are_read_all_the_same() -> None:
    with pytest.raises(TakeoffError, match=r"materials.spare.bag_lb"):
        estimate_takeoff(
            {
                "format": "takeoff/1",
                "materials": {"spare": {"kind": "loose_fill", "bag_lb": -1}},
                "spaces": [],
            }
        )


def test_a_default_is_read_once_and_never_mixed_with_a_takeoff_s_own() -> None:
    """Reading the defaults anew took most of an estimate's time."""
    assert read({}) is read({"batts": {"kind": "batt", "batts": []}})
    assert read({"cellulose": {"bag_lb": 30}}).bag_lb == 30
    assert read({}).bag_lb == 25
    assert read({"cellulose": None}) is read({})
