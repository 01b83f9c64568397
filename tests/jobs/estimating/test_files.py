"""The file of an estimate: read back it is the same estimate, and its gaps are read as nothing."""

import json
from typing import Any

import pytest

from jobs.estimating import Load, estimate_takeoff, kept_file, loads_file, loads_read, space_read
from tests.jobs.estimating.takeoffs import ATTIC, BAFFLES, SEAL, SLOPE, WALL, estimate, takeoff

SPACES = (
    ATTIC,
    {**ATTIC, "board_in": "1/2"},
    SLOPE,
    {**SLOPE, "cover": "net"},
    WALL,
    SEAL,
    BAFFLES,
)


@pytest.mark.parametrize("space", SPACES)
def test_what_is_kept_with_a_space_is_read_back_as_it_was(space: dict[str, Any]) -> None:
    found = estimate_takeoff(takeoff(space))
    kept = json.loads(json.dumps(kept_file(found, 0)))
    assert space_read(kept) == found.spaces[0]


def test_the_kept_file_is_that_of_the_space_with_its_own_defaults() -> None:
    kept = kept_file(estimate_takeoff(takeoff(ATTIC, BAFFLES)), 1)
    assumed: Any = kept.pop("assumed")
    assert kept == estimate(ATTIC, BAFFLES)["spaces"][1]
    assert [entry["path"] for entry in assumed] == ["spaces[1].piece_ft"]


def test_a_space_without_an_estimate_has_nothing() -> None:
    empty = space_read({})
    assert (empty.steps, empty.warnings, empty.markers, empty.holds) == ((), (), None, False)


def test_a_step_that_says_little_is_read_with_little() -> None:
    (step,) = space_read({"steps": [{"kind": "flat_blow", "colour": "red"}]}).steps
    assert (step.kind, step.quantity, step.facts, step.explain) == ("flat_blow", 0, {}, ())


def test_loads_go_to_their_rows_and_back() -> None:
    loads = (Load("cellulose", 112, "bags"), Load("markers", 5, "pieces"))
    assert loads_file(loads)[0] == {"item": "cellulose", "quantity": 112, "unit": "bags"}
    assert loads_read(loads_file(loads)) == loads
