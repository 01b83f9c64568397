"""MODEL.md names every rule and every cost that the code has, and no others."""

from __future__ import annotations

import re
from pathlib import Path

import scheduling.planning
from scheduling.planning.costs import COSTS
from scheduling.planning.rules import RULES

PAGE = (Path(scheduling.planning.__file__).parent / "MODEL.md").read_text()


def rows(heading: str) -> list[list[str]]:
    """Return the cells of the table under a heading, without its head."""
    section = PAGE.split(f"## {heading}\n")[1].split("\n## ")[0]
    lines = [line for line in section.splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:]]


def test_every_rule_stands_with_its_function() -> None:
    found = {int(number): name.strip("`") for number, name, _ in rows("Rules")}
    assert found == {number: rule.__name__ for number, rule in RULES.items()}


def test_every_cost_stands_with_its_formula() -> None:
    assert [name.strip("`") for name, _ in rows("Costs")] == list(COSTS)


def test_the_files_it_names_exist() -> None:
    folder = Path(scheduling.planning.__file__).parent
    for name in re.findall(r"`([\w/]+\.py)`", PAGE):
        assert (folder / name).exists(), name
