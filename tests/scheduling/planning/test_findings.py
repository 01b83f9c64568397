"""Every code that the planner knows has its sentence, fills it, survives a file, and is used."""

import ast
from pathlib import Path
from typing import Any

import pytest

import scheduling.planning
from scheduling.planning.findings import (
    KINDS,
    PLACES,
    SAVINGS,
    SENTENCES,
    Code,
    Finding,
    Kind,
    finding,
    finding_to_json,
    parse_finding,
)
from scheduling.planning.problem import Assignment
from tests.scheduling.planning.weeks import plain

PLANNING = Path(scheduling.planning.__file__).parent
ENTRY = Assignment("A/1", "ash", 2)
# A value of each kind, and what of it must be read in a sentence.
SAMPLES: dict[Kind, tuple[Any, str]] = {
    Kind.CREW: ("ash", "ash"),
    Kind.CREWS: (("ash", "birch"), "ash and birch"),
    Kind.JOB: ("A", "A"),
    Kind.STEP: ("A/2", "A/2"),
    Kind.STEPS: (("A/1", "A/2"), "A/1 and A/2"),
    Kind.DAY: (1, "2027-03-02"),
    Kind.DAYS: (2, "2 days"),
    Kind.MINUTES: (75, "75 minutes"),
    Kind.COUNT: (7, "7"),
    Kind.MACHINE: ("blower", "blower"),
    Kind.ENTRY: (ENTRY, "A/1 with ash on 2027-03-03"),
    Kind.ENTRIES: ((ENTRY, ENTRY), "A/1 with ash on 2027-03-03 and A/1 with ash on 2027-03-03"),
    Kind.COST: ("travel", "less driving"),
    Kind.CENTS: (123400, "$1,234"),
    Kind.FINDING: (finding(Code.CREW_OFF, crew="ash", day=0), "ash is off on 2027-03-01"),
}


def sample(code: Code) -> Finding:
    """Return a finding with a value in each place of its sentence."""
    return finding(code, **{name: SAMPLES[KINDS[name]][0] for name in PLACES[code]})


@pytest.mark.parametrize("code", Code)
def test_each_code_is_worded_with_all_its_values(code: Code) -> None:
    found = sample(code)
    words = plain(found)
    assert "%" not in words
    for name, _ in found.values:
        assert SAMPLES[KINDS[name]][1] in words


@pytest.mark.parametrize("code", Code)
def test_each_finding_comes_back_out_of_a_file(code: Code) -> None:
    assert parse_finding(finding_to_json(sample(code))) == sample(code)


def test_every_kind_of_value_is_in_use_and_every_cost_has_its_words() -> None:
    assert set(KINDS.values()) == set(Kind) == set(SAMPLES)
    assert set(SENTENCES) == set(Code)
    assert [plain(finding(Code.SAVES, cost=cost)) for cost in SAVINGS] == [
        f"the plan has {words} so" for words in SAVINGS.values()
    ]


def test_a_finding_takes_the_values_of_its_sentence_and_no_others() -> None:
    with pytest.raises(TypeError, match="crew_off takes"):
        finding(Code.CREW_OFF, crew="ash")
    with pytest.raises(TypeError, match="crew_off takes"):
        finding(Code.CREW_OFF, crew="ash", day=1, step="A/1")


def test_every_code_is_said_somewhere() -> None:
    said: dict[str, set[str]] = {}
    for path in PLANNING.rglob("*.py"):
        for call in ast.walk(ast.parse(path.read_text())):
            if isinstance(call, ast.Attribute) and getattr(call.value, "id", "") == "Code":
                said.setdefault(call.attr, set()).add(path.name)
    silent = [code.name for code in Code if not said.get(code.name, set()) - {"findings.py"}]
    assert silent == []
