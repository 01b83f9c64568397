"""Air sealing, baffles, removal and masking: counted items, foam, pieces, minutes."""

from typing import Any

import pytest

from jobs.estimating import TakeoffError
from tests.jobs.estimating.takeoffs import ATTIC, BAFFLES, SEAL, SLOPE, estimate, step

ITEMS: dict[str, Any] = {
    "top_plate": {"minutes": 0.5, "board_ft": 0.02},
    "wire_hole": {"minutes": 2},
}


def test_minutes_and_foam_by_item() -> None:
    found = step(SEAL, air_seal=ITEMS)
    assert found["person_minutes"] == 220 * 0.5 + 38 * 2
    assert found["foam_board_ft"] == pytest.approx(220 * 0.02 + 38 * 0.05)
    assert found["foam_cans"] == 1


def test_cans_are_rounded_up_once_over_the_space() -> None:
    cans = {"foam": {"kind": "foam_can", "can_board_ft": 2.1}}
    assert step(SEAL, air_seal=ITEMS, materials=cans)["foam_cans"] == 3  # 6.3 / 2.1


def test_a_flue_gets_sealant_and_never_foam() -> None:
    found = step({"kind": "air_seal", "items": [{"kind": "flue", "count": 2}]})
    assert found["foam_cans"] == 0
    assert found["loads"] == [{"item": "fire-rated sealant", "quantity": 2, "unit": "tubes"}]


@pytest.mark.parametrize(
    ("item", "path"),
    [
        ({"kind": "top_plate", "count": 3}, "spaces[0].items[0].ft"),
        ({"kind": "wire_hole", "count": 1.5}, "spaces[0].items[0].count"),
        ({"kind": "wire_hole", "count": -1}, "spaces[0].items[0].count"),
        ({"kind": "chimney", "count": 1}, "spaces[0].items[0].kind"),
    ],
)
def test_items_that_cannot_be_right(item: dict[str, Any], path: str) -> None:
    with pytest.raises(TakeoffError) as refused:
        estimate({"kind": "air_seal", "items": [item]})
    assert refused.value.path == path


def test_an_item_counted_in_the_wrong_unit_is_told_the_right_one() -> None:
    with pytest.raises(TakeoffError, match="top_plate is counted by ft, not by count"):
        estimate({"kind": "air_seal", "items": [{"kind": "top_plate", "count": 3}]})


def test_no_items_are_refused() -> None:
    with pytest.raises(TakeoffError, match=r"spaces\[0\]\.items: is missing"):
        estimate({"kind": "air_seal"})


def test_only_foam_seals() -> None:
    with pytest.raises(TakeoffError, match=r"spaces\[0\]\.material: cellulose is not foam"):
        estimate({**SEAL, "material": "cellulose"})


@pytest.mark.parametrize(
    ("measures", "pieces"),
    [
        ({"bays": 22, "length_ft": 4}, 22),
        ({"bays": 22, "length_ft": 16}, 88),
        ({"bays": 22, "length_ft": 5, "piece_ft": 3}, 44),
        ({"bays": 22}, 22),
        ({"count": 30}, 30),
    ],
)
def test_pieces_of_baffles(measures: dict[str, Any], pieces: int) -> None:
    found = step({"kind": "baffles", **measures}, hand={"baffle_minutes": 4})
    assert (found["pieces"], found["person_minutes"]) == (pieces, 4 * pieces)
    assert found["loads"] == [{"item": "baffles", "quantity": pieces, "unit": "pieces"}]


def test_baffles_without_a_number_are_refused() -> None:
    with pytest.raises(TakeoffError, match=r"spaces\[0\]\.bays: is missing"):
        estimate({**BAFFLES, "bays": None})


def test_removal_comes_before_the_blow() -> None:
    found = estimate({**ATTIC, "remove_ft2": 500}, hand={"removal_minutes_per_ft2": 0.2})
    removal, blow = found["spaces"][0]["steps"]
    assert (removal["kind"], blow["kind"]) == ("removal", "flat_blow")
    assert (removal["person_minutes"], removal["debris_yd3"]) == (100, 1)


def test_masking_is_hand_work_of_the_blow() -> None:
    hand = {"masking_minutes_per_ft2": 0.5}
    plain, masked = (
        step({**SLOPE, "masking_ft2": area}, hand=hand)["person_minutes"] for area in (0, 80)
    )
    assert masked - plain == pytest.approx(40)
