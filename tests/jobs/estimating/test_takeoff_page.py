"""The page about the files: every field, kind, step and warning has its word there, and back."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from jobs.estimating import SPACE_KINDS, STEP_ORDER
from jobs.estimating.sealing_items import UNITS
from tests.source import BASE, modules

PAGE = (BASE / "jobs/estimating/TAKEOFF.md").read_text()
WORDS = set(re.findall(r"`([a-z][a-z0-9_]*)`", PAGE))
READS = {
    "child", "children", "choice", "flag", "has", "items", "maybe", "measure", "number", "numbers",
    "rate", "text", "whole",
}  # fmt: skip
# Read through a name that the code puts together, or a part of a rate's record.
COMPOSED = {f"{one}{rest}" for one in ("hose", "lift") for rest in ("_ft", "_loss_per_ft")}
COMPOSED |= {"rated_hose_ft", "rated_lift_ft"}
RECORD = {"value", "source"}


def calls(path: Path) -> Iterator[tuple[str, str]]:
    """Each call with a text for its first argument: the called name and the text."""
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Call) and node.args and isinstance(node.args[0], ast.Constant):
            name = getattr(node.func, "attr", getattr(node.func, "id", ""))
            if isinstance(node.args[0].value, str):
                yield name, node.args[0].value


def texts_of(*names: str) -> set[str]:
    found = [call for path in modules("jobs/estimating") for call in calls(path)]
    return {text for name, text in found if name in names}


def test_every_field_that_is_read_has_its_word() -> None:
    assert sorted(texts_of(*READS) - RECORD - WORDS) == []
    assert sorted(COMPOSED - WORDS) == []


def test_every_warning_has_its_line() -> None:
    lines = {
        line.split("`")[1] for line in PAGE.splitlines() if line.endswith(("| yes |", "| no |"))
    }
    assert lines == texts_of("Doubt")


def test_the_warnings_that_hold_are_those_of_the_page() -> None:
    held = {line.split("`")[1] for line in PAGE.splitlines() if line.endswith("| yes |")}
    assert held == {"board_load", "density_low", "vent_space"}


def test_every_kind_and_step_has_its_word() -> None:
    assert set(SPACE_KINDS) <= WORDS
    assert set(STEP_ORDER) <= WORDS
    assert set(UNITS) <= WORDS


def test_the_page_names_no_field_that_is_not_read() -> None:
    known = texts_of(*READS, "Step", "Doubt") | set(SPACE_KINDS) | set(UNITS) | COMPOSED
    source = " ".join(path.read_text() for path in modules("jobs/estimating"))
    unknown = [word for word in WORDS - known if f'"{word}"' not in source]
    assert unknown == []
