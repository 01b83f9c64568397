"""Visits: which space belongs to which, set-up of each, the drive, what the file gives of them."""

from typing import Any

import pytest

from jobs.estimating import TakeoffError
from tests.jobs.estimating.takeoffs import ATTIC, BAFFLES, SEAL, WALL, estimate

TUB: dict[str, Any] = {**WALL, "id": "tub", "area_ft2": 40, "early": True}


def names(found: dict[str, Any]) -> list[str]:
    return [visit["name"] for visit in found["visits"]]


def test_spaces_are_of_the_main_visit_unless_they_say_otherwise() -> None:
    assert names(estimate(ATTIC, SEAL)) == ["main"]
    assert names(estimate(TUB, ATTIC, {**BAFFLES, "visit": "before the board"})) == [
        "early",
        "main",
        "before the board",
    ]


def test_a_named_visit_wins_over_early() -> None:
    assert names(estimate({**TUB, "visit": "stairs"})) == ["stairs"]


def test_not_early_is_main() -> None:
    assert names(estimate({**TUB, "early": False})) == ["main"]


def test_each_visit_is_set_up_by_what_it_does() -> None:
    found = estimate(TUB, ATTIC)
    setup = {visit["name"]: visit["setup_person_minutes"] for visit in found["visits"]}
    assert setup == {"early": 30, "main": 120}
    assert found["visit"] == {"setup_person_minutes": 120}
    totals = found["totals"]
    assert totals["person_minutes"] - totals["work_person_minutes"] == pytest.approx(150)


def test_the_only_visit_is_the_one_that_is_told() -> None:
    assert estimate(TUB)["visit"] == {"setup_person_minutes": 30}


def test_a_set_up_that_is_given_holds_for_every_visit() -> None:
    found = estimate(TUB, ATTIC, visit={"setup_person_minutes": 45})
    assert [visit["setup_person_minutes"] for visit in found["visits"]] == [45, 45]


def test_a_set_up_may_bring_its_record() -> None:
    learned = {"setup_person_minutes": {"value": 50, "jobs": 12}}
    found = estimate(ATTIC, visit=learned)
    assert found["visit"] == {"setup_person_minutes": 50}
    assert "visit.setup_person_minutes" not in {entry["path"] for entry in found["assumed"]}


def test_no_set_up_is_allowed() -> None:
    found = estimate(ATTIC, visit={"setup_person_minutes": 0})
    assert found["totals"]["person_minutes"] == found["totals"]["work_person_minutes"]


def test_every_visit_is_driven_to() -> None:
    found = estimate(TUB, ATTIC, visit={"drive_minutes": 30})
    assert found["totals"]["drive_person_minutes"] == 2 * 30 * 2
    assert [visit["drive_minutes"] for visit in found["visits"]] == [30, 30]


def test_the_work_of_the_visits_is_the_work_of_the_job() -> None:
    found = estimate(TUB, ATTIC, SEAL, BAFFLES)
    work = sum(visit["person_minutes"] for visit in found["visits"])
    assert work == pytest.approx(found["totals"]["work_person_minutes"])
    steps = [each for space in found["spaces"] for each in space["steps"]]
    assert sum(each["person_minutes"] for each in steps) == pytest.approx(work)


def test_a_space_without_work_makes_no_visit() -> None:
    found = estimate({**ATTIC, "existing": {"r": 60}})
    assert found["visits"] == []
    assert found["totals"]["person_minutes"] == 0


@pytest.mark.parametrize(
    ("visit", "path"),
    [
        ({"setup_person_minutes": -1}, "visit.setup_person_minutes"),
        ({"drive_minutes": "far"}, "visit.drive_minutes"),
        (60, "visit"),
    ],
)
def test_a_visit_that_cannot_be_right(visit: object, path: str) -> None:
    with pytest.raises(TakeoffError) as refused:
        estimate(ATTIC, visit=visit)
    assert refused.value.path == path
