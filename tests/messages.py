"""Collects the words for translation from templates and modules, as the gettext tools would."""

import ast
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

from django.utils.translation.template import templatize

from tests.source import BASE

# Names by which the project calls gettext, or marks words for it; how many words each takes.
CALLS = {
    "_": 1,
    "gettext": 1,
    "gettext_lazy": 1,
    "gettext_noop": 1,
    "marked": 1,
    "ngettext": 2,
    "pgettext": 2,
}


def messages(paths: Iterable[str]) -> set[str]:
    """Every message that the files (from the project's top) may show; plurals by their first."""
    return {message for path in paths for message in _of_file(BASE / path)}


def _of_file(path: Path) -> Iterator[str]:
    text = path.read_text()
    source = templatize(text) if path.suffix == ".html" else text
    return _calls(source) if path.suffix == ".html" else _ast_calls(source)


def _calls(source: str) -> Iterator[str]:
    """Of a template: what `templatize` leaves is no module, but its calls are."""
    for found in re.finditer(r"\b(n?p?gettext)\(", source):
        words = _literals(source[found.end() :])
        yield words[1] if found[1] == "pgettext" else words[0]


def _literals(rest: str) -> list[str]:
    """The string literals with which the rest of a call begins."""
    literal = r"u?('(?:[^'\\]|\\.)*'|\"(?:[^\"\\]|\\.)*\")\s*,?\s*"
    found = []
    while (match := re.match(literal, rest)) is not None:
        found.append(str(ast.literal_eval(match[1])))
        rest = rest[match.end() :]
    return found


def _ast_calls(source: str) -> Iterator[str]:
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.Call):
            continue
        name = node.func.id if isinstance(node.func, ast.Name) else ""
        words = [argument.value for argument in node.args if isinstance(argument, ast.Constant)]
        if name in CALLS and words and isinstance(words[0], str):
            yield str(words[1] if name == "pgettext" else words[0])
