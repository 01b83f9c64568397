"""Whatever refuses or tells a person something goes through gettext, and has its Spanish.

Walks the calls by which contractor/ and jobs/ speak to people: refusals, errors of forms, fields,
sheets and rows, and the messages over a page. What only a programmer or an operator reads (a
wrong call, a setting, a command) stays in English.
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import polib
import pytest

from tests.messages import CALLS, messages
from tests.source import BASE, modules, name_of

# Endings of the names of what is raised or made to refuse something to a person.
REFUSES = (
    "Refused",
    "Refusal",
    "ValidationError",
    "Expected",
    "SheetError",
    "Quicker",
    "Conflict",
    "Sentence",
    "TakeoffError",
    "NotANumber",
)
SPEAKS = ("add_error", "refused", "fail", "lacks")
KEYWORDS = ("violation_error_message", "error_messages")
# Commands and settings speak to operators.
LEFT_OUT = ("jobs/estimating/__main__.py", "jobs/management/", "contractor/environment.py")
# A detail of a damaged workbook, as the reader of the file calls it.
NO_WORDS = {"jobs/sheets/xlsx_file.py"}
LEAST_LETTERS = 4
HOLE = re.compile(r"%\(\w+\)[sd]")


def speech(tree: ast.AST) -> Iterator[ast.expr]:
    """What stands in each call that speaks to a person."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        if _speaks(node.func):
            yield from node.args
            yield from (keyword.value for keyword in node.keywords)
        else:
            yield from (word.value for word in node.keywords if word.arg in KEYWORDS)


def _speaks(called: ast.expr) -> bool:
    name = called.attr if isinstance(called, ast.Attribute) else getattr(called, "id", "")
    owner = called.value if isinstance(called, ast.Attribute) else None
    if isinstance(owner, ast.Name) and owner.id == "messages":
        return True
    return name.endswith(REFUSES) or name in SPEAKS


def unmarked(node: ast.AST) -> Iterator[ast.expr]:
    """Literals with words in them that no call of gettext holds."""
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in CALLS:
        return
    if isinstance(node, ast.Constant | ast.JoinedStr) and _has_words(node):
        yield node
        return
    for child in ast.iter_child_nodes(node):
        yield from unmarked(child)


def _has_words(node: ast.Constant | ast.JoinedStr) -> bool:
    """Whether it reads as words: more than one in a literal, any between the holes of one."""
    if isinstance(node, ast.Constant):
        return isinstance(node.value, str) and _reads(node.value)
    texts = [str(part.value) for part in node.values if isinstance(part, ast.Constant)]
    # Without a space between its parts it is a path or a code.
    return any(" " in text and sum(map(str.isalpha, text)) >= LEAST_LETTERS for text in texts)


def _reads(text: str) -> bool:
    around = HOLE.sub("", text)
    if around != text:
        return sum(map(str.isalpha, around)) >= LEAST_LETTERS
    return len(text.split()) > 1


def spoken_past_gettext(path: Path) -> list[str]:
    """Where a module tells a person something in English alone."""
    tree = ast.parse(path.read_text())
    return [
        f"{name_of(path)}:{word.lineno}: {ast.unparse(word)}"
        for given in speech(tree)
        for word in unmarked(given)
    ]


def told_modules() -> list[Path]:
    return [
        path
        for path in modules("contractor", "jobs")
        if not name_of(path).startswith(LEFT_OUT) and name_of(path) not in NO_WORDS
    ]


def test_nothing_is_told_to_a_person_past_gettext() -> None:
    assert [place for path in told_modules() for place in spoken_past_gettext(path)] == []


@pytest.mark.parametrize(
    "source",
    [
        'raise ValidationError("Say who agreed.")',
        'raise ValidationError({"day": f"{day} is past"})',
        'raise MoveRefused(Sentence("This job is not open."))',
        'messages.success(request, "The note is saved.")',
        'form.add_error("name", "Taken already.")',
        'Expected("expected a value")',
        'serializers.ValidationError({"note": "Say whose it is."})',
        'CheckConstraint(condition=x, violation_error_message="Say why it is struck.")',
        'forms.FileField(error_messages={"required": "Choose the sheet first."})',
        'node.fail("depth_in", "leaves %(nothing)s", nothing=1)',
        'raise TakeoffError(path, Sentence("the material has no chart"))',
        'Refusal(CONFLICT, (f"{name} was quicker",))',
    ],
)
def test_the_walk_sees_each_way_to_speak(source: str) -> None:
    given = list(speech(ast.parse(source)))
    assert [word for one in given for word in unmarked(one)]


@pytest.mark.parametrize(
    "source",
    [
        'raise ValidationError(_("Say who agreed."))',
        'raise ValidationError({"day": gettext("%(day)s is past") % {"day": day}})',
        'Expected(_("expected at most %(most)d rows"), {"most": MOST})',
        'raise TypeError("material_save: x cannot be set")',
        'messages.success(request, ngettext("%(n)d job.", "%(n)d jobs.", n) % {"n": n})',
    ],
)
def test_the_walk_lets_pass_what_is_marked_or_meant_for_programmers(source: str) -> None:
    given = list(speech(ast.parse(source)))
    assert [word for one in given for word in unmarked(one)] == []


def refusals() -> list[str]:
    """Every marked message that stands in a call that speaks to a person."""
    found = {
        str(word.args[0].value)
        for path in told_modules()
        for given in speech(ast.parse(path.read_text()))
        for word in ast.walk(given)
        if isinstance(word, ast.Call)
        and isinstance(word.func, ast.Name)
        and word.func.id in CALLS
        and isinstance(word.args[0], ast.Constant)
    }
    return sorted(found)


def test_each_refusal_reads_otherwise_in_spanish() -> None:
    catalogue = polib.pofile(str(BASE / "contractor/locale/es/LC_MESSAGES/django.po"))
    spanish = {entry.msgid: entry.msgstr or entry.msgstr_plural.get(0, "") for entry in catalogue}
    assert len(refusals()) > 100
    assert [one for one in refusals() if spanish.get(one, "") in ("", one)] == []


def test_the_walk_of_refusals_is_part_of_all_messages() -> None:
    assert set(refusals()) <= messages(name_of(path) for path in told_modules())
