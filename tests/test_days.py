"""A day is the yard's: neither code nor template takes the server's, which night makes another."""

import ast
from re import compile as pattern

import pytest

from tests.source import APPS, BASE, modules, name_of

# Once a day is often enough for what is kept there; whose day it is does not matter.
ANY_DAY_WILL_DO = {"contractor/phones/session.py"}
NAMED_DAYS = {"today", "localdate", "utcnow"}
# A moment that is shown, but for the form `c`, which carries its offset.
MOMENT = pattern(r"\w+_(?:at|until)((?:\|[\w:.]+)*?)\|(?:date|time):(?!'c')")
# Their views override the zone for the whole page.
ZONE_IS_SET = ("contractor/outbox/", "contractor/phones/", "scheduling/today/")


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


def test_no_code_takes_the_server_s_day() -> None:
    found = {name_of(path) for path in modules() if faults_of(path.read_text())}
    assert found == ANY_DAY_WILL_DO


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
    templates = (path for app in APPS for path in (BASE / app).rglob("*.html"))
    faults = [
        f"{name_of(path)}: {found[0]}"
        for path in templates
        if not any(room in name_of(path) for room in ZONE_IS_SET)
        for found in MOMENT.finditer(path.read_text())
        if "|timezone:" not in found[1]
    ]
    assert faults == []
