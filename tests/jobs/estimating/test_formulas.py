"""Every explained figure, reckoned again from its own formula and inputs by another way."""

import ast
import math
import operator
from collections.abc import Callable
from typing import Any

import pytest

from tests.jobs.estimating.takeoffs import ATTIC, BAFFLES, SEAL, SLOPE, WALL, estimate

OPERATORS: dict[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
}
DENSE = {**WALL, "material": "cellulose", "lb_per_ft3": 3.5}
FLUE = {"kind": "air_seal", "items": [{"kind": "flue", "count": 1}, {"kind": "chase", "ft2": 12}]}
CASES: list[dict[str, Any]] = [
    ATTIC,
    {**ATTIC, "hatches": 2, "dam_ft": 14, "masking_ft2": 60, "remove_ft2": 400},
    {**ATTIC, "material": "fibreglass", "area_ft2": "1234.5"},
    SLOPE,
    {**SLOPE, "cover": "net", "lengths_ft": [3, 7.5], "run_ft": 14, "length_ft": None, "pitch": 7},
    WALL,
    {**WALL, "waste": 0.07, "openings_ft2": 123},
    DENSE,
    {**DENSE, "framing_factor": 0.23, "kind": "floor", "depth_in": 9.25},
    SEAL,
    FLUE,
    BAFFLES,
]


def value_of(node: ast.expr, inputs: dict[str, float]) -> float:
    """Value of a formula of + - x / and exp over its inputs."""
    if isinstance(node, ast.BinOp):
        sides = value_of(node.left, inputs), value_of(node.right, inputs)
        return OPERATORS[type(node.op)](*sides)
    if isinstance(node, ast.Call):
        assert isinstance(node.func, ast.Name)
        assert node.func.id == "exp"
        return math.exp(value_of(node.args[0], inputs))
    if isinstance(node, ast.Name):
        return inputs[node.id]
    assert isinstance(node, ast.Constant)
    assert isinstance(node.value, int | float)
    return float(node.value)


def reckoned(entry: dict[str, Any]) -> float:
    formula, _, rounding = entry["formula"].partition(", ")
    tree = ast.parse(formula.replace(" x ", " * "), mode="eval").body
    value = value_of(tree, entry["inputs"])
    # The printed inputs are rounded to four decimals, so a whole number may come out just above.
    return math.ceil(value - 1e-4) if rounding == "rounded up once" else value


@pytest.mark.parametrize("people", [2, 3])
@pytest.mark.parametrize("case", range(len(CASES)))
def test_a_figure_follows_from_its_formula(case: int, people: int) -> None:
    learned = {"flat_blow": {"minutes_factor": 1.3, "jobs": 2}}
    found = estimate(
        CASES[case], people=people, learned=learned, heat={"on": True, "outdoor_f": 95}
    )
    entries = [e for each in found["spaces"][0]["steps"] for e in each["explain"]]
    assert entries
    for entry in entries:
        assert entry["value"] == pytest.approx(reckoned(entry), rel=1e-3, abs=1e-3), entry


def test_a_wrong_figure_would_be_caught() -> None:
    (entry,) = [
        e for e in estimate(ATTIC)["spaces"][0]["steps"][0]["explain"] if e["figure"] == "pounds"
    ]
    assert reckoned({**entry, "inputs": {"area_ft2": 1501, "lb_per_ft2": 1.8667}}) != entry["value"]
