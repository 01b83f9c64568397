"""Reads the project's own source for the tests about its structure."""

import ast
from collections.abc import Iterator
from pathlib import Path

BASE = Path(__file__).resolve().parents[1]
APPS = ("contractor", "jobs", "scheduling")


def modules(*places: str) -> list[Path]:
    """Every module under the places (folders or files), migrations left out."""
    found: list[Path] = []
    for place in places or APPS:
        path = BASE / place
        found += [path] if path.is_file() else sorted(path.rglob("*.py"))
    return [path for path in found if "migrations" not in path.parts]


def name_of(path: Path) -> str:
    """The path as one writes it from the top of the project."""
    return path.relative_to(BASE).as_posix()


def functions(path: Path) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    """Every function and method of a module."""
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node
