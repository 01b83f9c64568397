"""Minutes by the size of a crew: kept as JSON, read in one place, the nearest row found."""

import ast

import pytest

from jobs.crew_minutes import CrewMinutes, crew_minutes_sum
from tests.source import modules, name_of

PREVIEW = "jobs/spaces/views/preview.py"
TABLE = CrewMinutes({2: 165, 3: 158, 5: 150})


def test_what_is_kept_is_read_back() -> None:
    assert TABLE.kept() == {"2": 165, "3": 158, "5": 150}
    assert CrewMinutes.read(TABLE.kept()) == TABLE


@pytest.mark.parametrize(
    ("people", "minutes"), [(1, 165), (2, 165), (3, 158), (4, 158), (5, 150), (9, 150)]
)
def test_the_largest_crew_listed_that_is_no_larger_counts(people: int, minutes: int) -> None:
    assert TABLE.at(people) == minutes


def test_two_or_one_where_two_make_no_difference() -> None:
    assert TABLE.pair == 165
    assert CrewMinutes({1: 45}).pair == 45
    assert CrewMinutes({}).pair == 0


def test_tables_add_up_for_the_sizes_that_all_list() -> None:
    assert crew_minutes_sum([TABLE, CrewMinutes({1: 9, 2: 10, 5: 1})]) == (
        CrewMinutes({2: 175, 5: 151})
    )


def test_nobody_else_takes_the_json_apart() -> None:
    """`step.crew_minutes` is read by the rows themselves; others ask `minutes_by_people`."""
    # The last two read an estimate, which has numbers for keys.
    homes = ("jobs/models/", "jobs/estimating/", "jobs/estimates/outcome.py", PREVIEW)
    found = [
        f"{name_of(path)}:{node.lineno}"
        for path in modules("jobs", "scheduling")
        if not name_of(path).startswith(homes)
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.expr) and _takes_apart(node)
    ]
    assert found == []


def _takes_apart(node: ast.AST) -> bool:
    """`x.crew_minutes[...]`, `x.crew_minutes.get(...)`, `x.crew_minutes.items()` and the like."""
    match node:
        case ast.Subscript(value=ast.Attribute(attr="crew_minutes")):
            return True
        case ast.Attribute(value=ast.Attribute(attr="crew_minutes"), attr=name):
            return name in ("get", "items", "values", "keys")
    return False


@pytest.mark.parametrize(
    "source", ['step.crew_minutes["2"]', "s.crew_minutes.items()", 's.crew_minutes.get("2")']
)
def test_the_guard_sees_each_way(source: str) -> None:
    assert any(_takes_apart(node) for node in ast.walk(ast.parse(source)))
