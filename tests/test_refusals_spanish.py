"""Refusals read in Spanish: rows, entries of the catalogue, sheets and work taken over."""

import re
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

import pytest
from django.apps import apps
from django.db.models import CheckConstraint
from django.utils import translation
from django.utils.translation import gettext

from jobs.catalogue.services.entries import item_faults
from jobs.conditions.catalogue import entry_problems
from jobs.conditions.guard import weakenings
from jobs.conditions.seed import ENTRIES
from jobs.estimating.taken_over import MeasureError, Taken, taken_check
from jobs.models import Job
from jobs.sheets.cells import CellRefused, cell_value
from jobs.sheets.columns import COLUMNS, Column
from jobs.sheets.errors import Expected, Word
from jobs.wording import sentence_text

# Words that no Spanish sentence of ours holds.
ENGLISH = re.compile(r"\b(the|expected|cannot|of|is|and|needs?|nobody|with|or|at least|inches)\b")
APPS = ("contractor", "jobs", "scheduling")


def constraints() -> Iterator[CheckConstraint]:
    for app in APPS:
        for model in apps.get_app_config(app).get_models():
            for one in model._meta.constraints:
                if isinstance(one, CheckConstraint):
                    yield one


def test_each_rule_of_a_row_refuses_in_spanish() -> None:
    with translation.override("es"):
        told = {
            one.name: str(one.violation_error_message) for one in constraints() if _is_ours(one)
        }
    assert len(told) > 60
    assert {name: text for name, text in told.items() if ENGLISH.search(text)} == {}


def _is_ours(one: CheckConstraint) -> bool:
    """Whether the rule has words of its own, not Django's."""
    return one.violation_error_message != one.default_violation_error_message


@pytest.mark.parametrize("code", sorted(ENTRIES))
def test_what_forbids_an_entry_is_told_in_spanish(code: str) -> None:
    wrong = replace(
        ENTRIES[code], name="", holds=(), lead_days=-1, may_take_over=True, measure="box"
    )
    problems = [*entry_problems(wrong), *weakenings(wrong, retired=True)]
    english = [text for _, text in item_faults(problems)]
    with translation.override("es"):
        spanish = [text for _, text in item_faults(problems)]
    assert len(problems) >= 3
    assert [text for text in spanish if ENGLISH.search(text)] == []
    assert all(one != other for one, other in zip(english, spanish, strict=True))


def refused_cells() -> list[tuple[Column, Expected]]:
    """What each column of a sheet answers to values that are none of its own."""
    found = []
    for column in COLUMNS:
        for written in ("=1+1", "-1", "x" * 400, "1/2/3", True):
            try:
                cell_value(column, written)
            except CellRefused as refused:
                found.append((column, refused.expected))
    return found


def test_what_a_sheet_holds_wrong_is_told_in_spanish() -> None:
    cells = refused_cells()
    assert {column.name for column, _ in cells} == {column.name for column in COLUMNS}
    with translation.override("es"):
        told = [(column, expected, expected.render(gettext)) for column, expected in cells]
    assert [text for _, expected, text in told if text == str(expected)] == []
    assert [
        text for column, _, text in told if ENGLISH.search(_without_choices(column, text))
    ] == []


def _without_choices(column: Column, text: str) -> str:
    """The text without the codes that one writes in the sheet, which are the same everywhere."""
    for choice in column.choices:
        text = text.replace(choice, "")
    return text


def test_of_the_values_only_words_of_ours_are_translated() -> None:
    alternatives = (("run_ft", "pitch"), ("length_ft",))
    expected = Expected("%(what)s: %(unit)s, %(typed)s", {
        "what": alternatives, "unit": Word("inches"), "typed": "inches",
    })  # fmt: skip
    assert str(expected) == "run_ft with pitch, or length_ft: inches, inches"
    with translation.override("es"):
        assert expected.render(gettext) == "run_ft con pitch, o length_ft: pulgadas, inches"


def test_the_state_of_a_job_is_a_word_of_ours() -> None:
    states = [Word(label) for label in Job.State.labels]
    with translation.override("es"):
        shown = [Expected("%(s)s", {"s": one}).render(gettext) for one in states]
    assert all(one != other for one, other in zip(states, shown, strict=True))


@pytest.mark.parametrize(
    "taken",
    [
        Taken("roof", Decimal(1)),
        Taken("box", Decimal(501)),
        Taken("box", Decimal("1.5")),
        Taken("chase", Decimal(1), flues=11),
        Taken("box", Decimal(1), flues=1),
        Taken("box", Decimal(0)),
        Taken("box", Decimal(1), length_ft=Decimal(4)),
        Taken("bays", Decimal(1), length_ft=Decimal(61)),
    ],
)
def test_a_measure_that_cannot_be_is_told_in_spanish(taken: Taken) -> None:
    with pytest.raises(MeasureError) as refused:
        taken_check(taken)
    with translation.override("es"):
        text = sentence_text(refused.value.expected)
    assert text.startswith("se espera")
    assert ENGLISH.search(text) is None
