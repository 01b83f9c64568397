"""Takeoffs for the tests of the estimating: one small house, and helpers to read an estimate."""

import copy
from typing import Any

from jobs.estimating import estimate_file, estimate_takeoff

ATTIC: dict[str, Any] = {
    "id": "attic",
    "kind": "attic_flat",
    "area_ft2": 1500,
    "target_r": 49,
    "material": "cellulose",
    "board_in": "5/8",
    "framing_in": 24,
}
SLOPE: dict[str, Any] = {
    "id": "slope",
    "kind": "slope_bays",
    "bays": 22,
    "length_ft": 16,
    "depth_in": 9.25,
    "spacing_in": 16,
    "rafter_width_in": 1.5,
    "vent_in": 1,
    "material": "cellulose",
    "lb_per_ft3": 3.5,
}
WALL: dict[str, Any] = {"id": "wall", "kind": "walls", "area_ft2": 1000, "depth_in": 5.5}
SEAL: dict[str, Any] = {
    "id": "seal",
    "kind": "air_seal",
    "items": [{"kind": "top_plate", "ft": 220}, {"kind": "wire_hole", "count": 38}],
}
BAFFLES: dict[str, Any] = {"id": "baffles", "kind": "baffles", "bays": 22, "length_ft": 4}

# The figures of the file's own example: every rate given, so that answers can be reckoned by hand.
RATES: dict[str, Any] = {
    "machine": {"lb_per_hour": {"open": 1200, "dense": 420}, "feed_bags_per_hour": 60},
    "hose_hand": {"spread_ft2_per_hour": 2400, "minutes_per_bay": 0.8, "minutes_per_cavity": 0.5},
    "people": 2,
}


def takeoff(*spaces: dict[str, Any], **more: Any) -> dict[str, Any]:
    """A takeoff of these spaces with the example's rates; `more` overrides."""
    return copy.deepcopy({"format": "takeoff/1", **RATES, **more, "spaces": list(spaces)})


def estimate(*spaces: dict[str, Any], **more: Any) -> dict[str, Any]:
    """The file of the estimate of `takeoff`."""
    return estimate_file(estimate_takeoff(takeoff(*spaces, **more)))


def step(space: dict[str, Any], kind: str = "", **more: Any) -> dict[str, Any]:
    """The only step of one space, or the one of a kind."""
    steps = estimate(space, **more)["spaces"][0]["steps"]
    (found,) = [each for each in steps if kind in ("", each["kind"])]
    return dict(found)


def codes(space: dict[str, Any], **more: Any) -> list[str]:
    """The codes of the warnings of one space."""
    return [warning["code"] for warning in estimate(space, **more)["spaces"][0]["warnings"]]
