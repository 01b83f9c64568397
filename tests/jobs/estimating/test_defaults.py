"""The defaults: each has a unit and a source, stands at its path, and says that it is a prior."""

from typing import Any

import pytest

from jobs.estimating import STEP_ORDER, check_chart, estimate_file, estimate_takeoff
from jobs.estimating.defaults import AIR_SEAL, MATERIAL_OF_SPACE, MATERIALS, RATES, SPANS
from jobs.estimating.reading import Default
from jobs.estimating.sealing_items import UNITS
from tests.jobs.estimating.takeoffs import ATTIC, BAFFLES, SEAL, SLOPE, WALL

EVERYTHING: list[dict[str, Any]] = [
    {**ATTIC, "hatches": 1, "dam_ft": 5, "masking_ft2": 9, "remove_ft2": 10},
    {**SLOPE, "cover": "net"},
    WALL,
    {**WALL, "id": "dense", "material": "cellulose"},
    SEAL,
    BAFFLES,
]


def set_at(takeoff: dict[str, Any], path: str, value: object) -> None:
    *parents, name = path.split(".")
    for parent in parents:
        takeoff = takeoff.setdefault(parent, {})
    takeoff[name] = value


@pytest.mark.parametrize("path", RATES)
def test_a_default_is_listed_until_the_takeoff_gives_the_rate(path: str) -> None:
    bare: dict[str, Any] = {"format": "takeoff/1", "spaces": EVERYTHING}
    given: dict[str, Any] = {"format": "takeoff/1", "spaces": EVERYTHING}
    set_at(given, path, RATES[path].value)
    before: Any = estimate_file(estimate_takeoff(bare))
    after: Any = estimate_file(estimate_takeoff(given))
    if path != "machine.dense_share":  # told with the dense rate that it gives
        assert path in {entry["path"] for entry in before["assumed"]}
    assert path not in {entry["path"] for entry in after["assumed"]}
    assert after["totals"] == before["totals"]
    assert after["not_used"] == []


@pytest.mark.parametrize("default", RATES.values())
def test_a_default_has_a_unit_and_a_source(default: Default) -> None:
    assert default.unit
    assert len(default.source) > 10
    assert default.rate().spoken().endswith(f"(default: {default.source})")


def test_every_step_has_a_span_and_every_item_a_unit() -> None:
    assert set(SPANS) == set(STEP_ORDER)
    assert set(UNITS) == set(AIR_SEAL)
    assert set(MATERIAL_OF_SPACE.values()) <= set(MATERIALS)


@pytest.mark.parametrize("name", ["cellulose", "fibreglass"])
def test_the_generic_charts_agree_with_themselves(name: str) -> None:
    chart: Any = MATERIALS[name]["chart"]
    findings = check_chart(chart, bag_lb=MATERIALS[name]["bag_lb"])
    assert [one["code"] for one in findings if one["code"] != "chart_label_r"] == []


def test_a_house_with_nothing_but_measures_is_estimated() -> None:
    bare = {"kind": "attic_flat", "area_ft2": 1200, "target_r": 38}
    found: Any = estimate_file(estimate_takeoff({"format": "takeoff/1", "spaces": [bare]}))
    assert found["totals"]["bags"] == {"cellulose": 70}  # 1,200 x 1.448 / 25 = 69.5
    assert "spaces[0].material" in {entry["path"] for entry in found["assumed"]}
    assert [one["code"] for one in found["spaces"][0]["warnings"]] == ["board_unknown"]
