"""One house reckoned by hand from measures to loads: a 28 by 40 gable with cathedral slopes.

Rates: machine 1,200 lb/h open and 420 dense, 60 bags an hour fed, 0.8 minutes a bay, 2 people.
"""

from typing import Any

import pytest

from tests.jobs.estimating.takeoffs import estimate

HAND = {
    "net_minutes_per_ft2": "0.6",
    "batt_minutes_per_ft2": "0.42",
    "baffle_minutes": 4,
    "marker_minutes": 1,
}
SEALING = {
    "top_plate": {"minutes": "0.25", "board_ft": "0.016"},
    "wire_hole": {"minutes": 1, "board_ft": "0.05"},
    "flue": {"minutes": 30},
}
HOUSE: list[dict[str, Any]] = [
    {
        "id": "behind the tub",
        "kind": "walls",
        "early": True,
        "stud_run_ft": 5,
        "height_ft": 8,
        "spacing_in": 16,
        "stud_width_in": 1.5,
        "depth_in": 5.5,
        "material": "batts",
    },
    {
        "id": "slopes",
        "kind": "slope_bays",
        "bays": 40,
        "run_ft": 14,
        "pitch": "6/12",
        "depth_in": 11.25,
        "spacing_in": 24,
        "rafter_width_in": 1.5,
        "vent_in": 1,
        "cover": "net",
        "material": "cellulose",
        "lb_per_ft3": 3.5,
    },
    {
        "id": "walls",
        "kind": "walls",
        "area_ft2": 1088,  # 136 ft around, 8 ft high
        "openings_ft2": 163,
        "spacing_in": 16,
        "stud_width_in": 1.5,
        "depth_in": 5.5,
        "material": "batts",
        "target_r": 21,
    },
    {"id": "baffles", "kind": "baffles", "bays": 40, "length_ft": 15.65, "piece_ft": 4},
    {
        "id": "seal",
        "kind": "air_seal",
        "material": "foam",
        "items": [
            {"kind": "top_plate", "ft": 136},
            {"kind": "wire_hole", "count": 24},
            {"kind": "flue", "count": 1},
        ],
    },
]


@pytest.fixture(scope="module")
def house() -> dict[str, Any]:
    visit = {"setup_person_minutes": 90}
    return estimate(*HOUSE, hand=HAND, air_seal=SEALING, visit=visit)


def test_slopes(house: dict[str, Any]) -> None:
    net, blow = house["spaces"][1]["steps"]
    length = 14 * 1.25**0.5  # 15.652 ft
    assert net["quantity"] == pytest.approx(40 * 2 * length, rel=1e-5)
    assert net["person_minutes"] == pytest.approx(751.3, rel=1e-3)
    assert blow["volume_ft3"] == pytest.approx(1002.7, rel=1e-3)
    assert blow["pounds"] == pytest.approx(3509.6, rel=1e-3)
    assert blow["bags"] == 141
    assert blow["machine_minutes"] == pytest.approx(501.4, rel=1e-3)  # 3,509.6 / 7 a minute
    assert blow["minutes_per_bay"] == pytest.approx(13.33, rel=1e-3)
    assert blow["crew_minutes"]["2"] == pytest.approx(533.4, rel=1e-3)
    assert blow["person_minutes"] == pytest.approx(1066.7, rel=1e-3)
    assert (blow["paced_by"], blow["r"]) == ("machine", 35)


def test_walls(house: dict[str, Any]) -> None:
    (batts,) = house["spaces"][2]["steps"]
    assert batts["quantity"] == 925
    assert batts["batt_ft"] == 693.75
    assert batts["packages"] == 13  # 693.75 x 1.25 / 67 = 12.94
    assert batts["person_minutes"] == 388.5


def test_baffles(house: dict[str, Any]) -> None:
    (baffles,) = house["spaces"][3]["steps"]
    assert (baffles["pieces"], baffles["person_minutes"]) == (160, 640)


def test_sealing(house: dict[str, Any]) -> None:
    (seal,) = house["spaces"][4]["steps"]
    assert seal["person_minutes"] == 136 * 0.25 + 24 + 30
    assert seal["foam_board_ft"] == pytest.approx(136 * 0.016 + 24 * 0.05)
    assert seal["foam_cans"] == 1


def test_the_load_list(house: dict[str, Any]) -> None:
    loads = {load["item"]: (load["quantity"], load["unit"]) for load in house["loads"]}
    assert loads == {
        "batts R-21 15 in": (14, "packages"),  # one more for the early visit
        "net": (1253, "ft2"),
        "cellulose": (141, "bags"),
        "baffles": (160, "pieces"),
        "foam": (1, "cans"),
        "fire-rated sealant": (1, "tubes"),
    }


def test_two_visits_are_set_up(house: dict[str, Any]) -> None:
    early, main = house["visits"]
    assert (early["name"], early["person_minutes"]) == ("early", pytest.approx(16.8))
    assert main["person_minutes"] == pytest.approx(751.3 + 1066.7 + 388.5 + 640 + 88, rel=1e-3)
    totals = house["totals"]
    assert totals["person_minutes"] == pytest.approx(2 * 90 + 16.8 + 2934.5, rel=1e-3)


def test_nothing_holds_the_house(house: dict[str, Any]) -> None:
    assert [space["holds"] for space in house["spaces"]] == [False] * 5
    assert [space["warnings"] for space in house["spaces"]] == [[]] * 5
