"""An estimate in sentences: complete, in order, and of every figure."""

from typing import Any

from jobs.estimating import estimate_takeoff
from jobs.estimating.sentences import sentences
from tests.jobs.estimating.takeoffs import ATTIC, BAFFLES, SEAL, SLOPE, WALL, estimate, takeoff


def lines(*spaces: dict[str, Any], **more: Any) -> list[str]:
    return sentences(estimate_takeoff(takeoff(*spaces, **more)))


def test_every_space_step_and_reason_is_told_in_order() -> None:
    found = estimate(ATTIC, SLOPE, WALL)
    told = lines(ATTIC, SLOPE, WALL)
    places = []
    for space in found["spaces"]:
        places.append(told.index(f"{space['id']} ({space['kind'].replace('_', ' ')})"))
        for step in space["steps"]:
            for reason in step["because"]:
                assert f"    {reason}" in told
    assert places == sorted(places)


def test_every_figure_is_told_with_its_numbers() -> None:
    told = lines(SLOPE)
    assert "    volume_ft3: 14.5 x 8.25 x 352 / 144 = 292.4167 ft3" in told
    assert "    handling_minutes: 22 x 0.8 = 17.6 min" in told


def test_warnings_stand_above_the_steps_with_their_source() -> None:
    told = lines({**ATTIC, "board_in": None})
    assert told[1].startswith("  Warning: The load is 1.87 lb/ft2, but the board's thickness")
    assert told[1].endswith("[a board maker's recommendation in a DOE loose-fill fact sheet]")


def test_hours_are_labour_machine_and_crew_hours() -> None:
    told = lines(ATTIC, visit={"setup_person_minutes": 60}, hand={"marker_minutes": 0})
    assert "Visit main: 4.7 labour-hours of work and 1.0 of set-up and clean-up." in told
    (total,) = [line for line in told if line.startswith("In all ")]
    assert total.startswith(
        "In all 5.7 labour-hours, 2.3 machine-hours; work on site 2.3 crew-hours"
    )


def test_what_was_not_used_is_told() -> None:
    assert "Not used, because it is not known: spaces[0].colour." in lines({**ATTIC, "colour": 1})


def test_every_default_is_told() -> None:
    found = estimate(SEAL, BAFFLES)
    told = [line for line in lines(SEAL, BAFFLES) if line.startswith("Default: ")]
    assert len(told) == len(found["assumed"]) > 3


def test_no_load_no_line() -> None:
    assert not [line for line in lines() if line.startswith("Load")]
