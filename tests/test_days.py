"""A day is the yard's: neither code nor template takes the server's, which night makes another."""

import ast
from collections.abc import Iterator
from pathlib import Path
from re import compile as pattern

import pytest

ROOT = Path(__file__).parent.parent
APPS = ("contractor", "jobs", "scheduling")
# Once a day is often enough for what is kept there; whose day it is does not matter.
ANY_DAY_WILL_DO = {"contractor/phones/session.py"}
NAMED_DAYS = {"today", "localdate", "utcnow"}
MOMENT = pattern(r"(\w+_(?:at|until))((?:\|[\w:.]+)*?)\|(?:date|time):")
# Their views override the zone for the whole page, or the form carries the offset.
ZONE_IS_SET = ("contractor/outbox/", "contractor/phones/", "scheduling/today/")
WITH_OFFSET = "|date:'c'"


def is_server_s_day(call: ast.Call) -> bool:
    """Tell whether a call asks the clock for a day, or a moment for its day without a zone."""
    if not isinstance(call.func, ast.Attribute):
        return False
    name, of = call.func.attr, call.func.value
    if name in NAMED_DAYS:
        return True
    if name not in {"date", "weekday"}:
        return False
    if isinstance(of, ast.Call):
        return isinstance(of.func, ast.Attribute) and of.func.attr == "now"
    word = of.attr if isinstance(of, ast.Attribute) else getattr(of, "id", "")
    return word == "now" or word.endswith("_at")


def faults_of(source: str) -> list[int]:
    """Return the lines of such calls."""
    calls = (node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call))
    return [call.lineno for call in calls if is_server_s_day(call)]


def sources(names: str) -> Iterator[tuple[str, str]]:
    for app in APPS:
        for path in sorted((ROOT / app).rglob(names)):
            name = path.relative_to(ROOT).as_posix()
            if "/migrations/" not in name:
                yield name, path.read_text()


def test_no_code_takes_the_server_s_day() -> None:
    found = {name: faults_of(source) for name, source in sources("*.py")}
    assert {name for name, lines in found.items() if lines} == ANY_DAY_WILL_DO


@pytest.mark.parametrize(
    "source",
    [
        "date.today()",
        "timezone.localdate()",
        "timezone.now().date()",
        "now.date()",
        "a.b_at.date()",
    ],
)
def test_a_day_of_the_server_would_be_found(source: str) -> None:
    assert faults_of(source) == [1]


@pytest.mark.parametrize("source", ["local.date()", "cell.value.date()", "local_date(branch, now)"])
def test_a_day_of_a_yard_is_let_be(source: str) -> None:
    assert faults_of(source) == []


def test_templates_name_the_zone_of_a_moment() -> None:
    faults = [
        f"{name}: {found[0]}"
        for name, source in sources("*.html")
        for found in MOMENT.finditer(source)
        if "|timezone:" not in found[2]
        and not any(room in name for room in ZONE_IS_SET)
        and not source[found.start() :].startswith(f"{found[1]}{WITH_OFFSET}")
    ]
    assert faults == []
