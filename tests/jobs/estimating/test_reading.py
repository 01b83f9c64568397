"""Reading a takeoff: paths and reasons of errors, defaults that are noted, words not known."""

from typing import Any

import pytest

from jobs.estimating import TakeoffError, estimate_takeoff
from tests.jobs.estimating.takeoffs import ATTIC, SLOPE, estimate, step, takeoff


def refused(data: Any) -> TakeoffError:
    with pytest.raises(TakeoffError) as error:
        estimate_takeoff(data)
    return error.value


@pytest.mark.parametrize(
    ("data", "path", "reason"),
    [
        ({}, "format", "takeoff/1"),
        ({"format": "takeoff/2", "spaces": []}, "format", "takeoff/1"),
        ({"format": "takeoff/1"}, "spaces", "is missing"),
        ({"format": "takeoff/1", "spaces": {}}, "spaces", "expected a list, not an object"),
        ({"format": "takeoff/1", "spaces": [3]}, "spaces[0]", "expected an object, not a number"),
        ({"format": "takeoff/1", "spaces": [{}]}, "spaces[0].kind", "expected one of attic_flat"),
        ([], "takeoff", "expected an object, not a list"),
    ],
)
def test_the_shape_of_the_file(data: object, path: str, reason: str) -> None:
    error = refused(data)
    assert error.path == path
    assert reason in error.reason


@pytest.mark.parametrize(
    ("more", "path"),
    [
        ({"people": 0}, "people"),
        ({"people": 2.5}, "people"),
        ({"people": 13}, "people"),
        ({"machine": {"lb_per_hour": {"open": 0}}}, "machine.lb_per_hour.open"),
        ({"machine": {"lb_per_hour": 1200}}, "machine.lb_per_hour"),
        ({"hose_hand": {"minutes_per_bay": -1}}, "hose_hand.minutes_per_bay"),
        ({"hand": {"marker_minutes": "one"}}, "hand.marker_minutes"),
        ({"hand": {"loss_per_person": 0.6}}, "hand.loss_per_person"),
        ({"materials": {"x": {}}}, "materials.x.kind"),
        ({"materials": {"x": {"kind": "straw"}}}, "materials.x.kind"),
        ({"materials": {"cellulose": {"bag_lb": 0}}}, "materials.cellulose.bag_lb"),
        ({"materials": {"cellulose": {"chart": [{}]}}}, "materials.cellulose.chart[0].r"),
        (
            {"materials": {"cellulose": {"chart": [{"r": 49}]}}},
            "materials.cellulose.chart[0].lb_per_ft2",
        ),
        (
            {"materials": {"cellulose": {"fill_lb_per_ft3": {"dense": 7}}}},
            "materials.cellulose.fill_lb_per_ft3.dense",
        ),
        ({"materials": {"cellulose": {"valid_from": "May"}}}, "materials.cellulose.valid_from"),
        ({"date": "2027-02-30"}, "date"),
        ({"code": {"edition": 2024, "zone": 5}}, "code.edition"),
        ({"code": {"edition": 2021, "zone": 9}}, "code.zone"),
        ({"learned": {"flat_blow": {"minutes_factor": 0}}}, "learned.flat_blow.minutes_factor"),
        ({"heat": {"on": "yes"}}, "heat.on"),
        ({"air_seal": {"flue": {"board_ft": 1}}}, "air_seal.flue.board_ft"),
    ],
)
def test_what_stands_around_the_spaces(more: dict[str, Any], path: str) -> None:
    assert refused(takeoff(ATTIC, **more)).path == path


@pytest.mark.parametrize(
    ("space", "message"),
    [
        (
            {**SLOPE, "depth_in": 61},
            "spaces[0].depth_in: 61 is out of range; expected more than 0 and at most 60 in",
        ),
        (
            {**SLOPE, "vent_in": -1},
            "spaces[0].vent_in: -1 is out of range; expected at least 0 and at most 60 in",
        ),
        ({**SLOPE, "bays": 2.5}, "spaces[0].bays: 2.5 is not a whole number"),
        (
            {**ATTIC, "area_ft2": "much"},
            "spaces[0].area_ft2: 'much' is not a number; write it as 9.25 or as \"28/15\";"
            " expected a number ft2",
        ),
        ({**ATTIC, "early": "yes"}, "spaces[0].early: expected true or false, not 'yes'"),
        ({**ATTIC, "id": 7}, "spaces[0].id: expected a text of at most 200 characters"),
        ({**ATTIC, "material": "batts"}, "spaces[0].material: batts is no loose fill"),
        (
            {**SLOPE, "length_ft": None, "run_ft": 3, "pitch": "high"},
            "spaces[0].pitch: 'high' is not a number",
        ),
    ],
)
def test_messages_say_what_was_expected(space: dict[str, Any], message: str) -> None:
    assert str(refused(takeoff(space))).startswith(message)


def test_an_id_stands_once() -> None:
    error = refused(takeoff(ATTIC, {**SLOPE, "id": "attic"}))
    assert str(error) == "spaces[1].id: 'attic' is already the id of spaces[0]"


def test_spaces_without_ids_are_numbered() -> None:
    found = estimate({**ATTIC, "id": None}, {**ATTIC, "id": None})
    assert [space["id"] for space in found["spaces"]] == ["space 1", "space 2"]


def test_a_missing_measure_points_at_the_word_that_may_be_meant() -> None:
    error = refused(takeoff({**SLOPE, "depth_in": None, "dept_in": 9.25}))
    assert str(error).startswith("spaces[0].depth_in: is missing; expected a number of in")
    assert "is 'dept_in' meant for it?" in error.reason


def test_a_word_that_is_not_known_is_listed_with_the_nearest() -> None:
    found = estimate({**ATTIC, "bord_in": 0.5}, machine={"hose": 200})
    assert found["not_used"] == [
        "machine.hose (nearest known: hose_ft)",
        "spaces[0].bord_in (nearest known: board_in)",
    ]


def test_a_takeoff_that_is_all_known_lists_nothing() -> None:
    assert estimate(ATTIC, SLOPE)["not_used"] == []


def test_a_near_word_is_named_for_a_kind() -> None:
    error = refused(takeoff({**SLOPE, "kind": "slope_bay"}))
    assert "(nearest known: slope_bays)" in error.reason


def test_defaults_that_were_taken_are_listed() -> None:
    found = estimate_takeoff(
        {"format": "takeoff/1", "spaces": [{**SLOPE, "vent_in": None, "lb_per_ft3": None}]}
    )
    assumed = {entry.path: entry.value for entry in found.assumed}
    assert assumed["spaces[0].vent_in"] == 1
    assert assumed["spaces[0].lb_per_ft3"] == 3.5
    assert assumed["hose_hand.minutes_per_bay"] == 1.7
    assert assumed["people"] == 2
    assert "hose_hand.spread_ft2_per_hour" not in assumed  # no flat uses it


def test_rates_that_are_given_are_no_defaults() -> None:
    paths = [entry["path"] for entry in estimate(SLOPE)["assumed"]]
    assert not [path for path in paths if path.startswith(("machine", "hose_hand", "people"))]


def test_a_rate_may_bring_its_record() -> None:
    learned = {"lb_per_hour": {"open": {"value": 1000, "jobs": 7}}}
    pinned = {"lb_per_hour": {"open": {"value": 1000, "jobs": 7, "pinned_because": "new hose"}}}
    lines = [" ".join(step(ATTIC, machine=machine)["because"]) for machine in (learned, pinned)]
    assert "1,000 lb/h (learned from 7 jobs)" in lines[0]
    assert "1,000 lb/h (pinned by hand: new hose)" in lines[1]


def test_a_default_says_that_it_is_one() -> None:
    assert "3,200 lb/h (default: " in " ".join(step(ATTIC, machine={})["because"])


def test_null_counts_as_left_out() -> None:
    with_nulls = {**ATTIC, "hatches": None, "existing": None, "attics": None}
    assert estimate(with_nulls)["spaces"] == estimate(ATTIC)["spaces"]


def test_no_spaces_give_an_empty_estimate() -> None:
    found = estimate()
    assert (found["spaces"], found["loads"], found["totals"]["person_minutes"]) == ([], [], 0)
