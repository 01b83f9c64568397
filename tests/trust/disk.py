"""A database file of its own for what many threads or a sudden end are tried on; SQLite only.

The tests' own database lives in memory, where SQLite locks out at once instead of waiting and
where nothing outlives its process. So the schema is copied to a file, and the work is done there
by a child process.
"""

import json
import os
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from tests.shifted import python_path
from tests.source import BASE

RUN_MAIN = """
import json, sys
import django
django.setup()
from importlib import import_module
print(json.dumps(import_module(sys.argv[1]).main(*sys.argv[2:])))
"""

# Takes a figure's name and its value, for the report of the test run.
Figure = Callable[[str, object], None]


@dataclass(frozen=True)
class Disk:
    """A folder with a SQLite file that holds every table and no row of ours."""

    folder: Path

    @property
    def file(self) -> Path:
        """The SQLite file."""
        return self.folder / "trust.sqlite3"

    def child(self, module: str, *arguments: str) -> "subprocess.Popen[str]":
        """Start a process that calls `main` of a module on this file."""
        environment = {
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "contractor.settings",
            "DATA_DIR": str(self.folder),
            "DATABASE_URL": f"sqlite:///{self.file}",
            "REDIS_URL": "",
            "PYTHONPATH": python_path(),
        }
        return subprocess.Popen(
            [sys.executable, "-c", RUN_MAIN, module, *arguments],
            cwd=BASE,
            env=environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    def call(self, module: str, *arguments: str) -> Any:
        """Return what `main` of a module gave, which is JSON."""
        return answer_of(self.child(module, *arguments))


def answer_of(child: "subprocess.Popen[str]") -> Any:
    """Wait for a child and return what it gave."""
    out, said = child.communicate(timeout=300)
    assert child.returncode == 0, said
    return json.loads(out.splitlines()[-1])


@pytest.fixture
def disk(db: None, tmp_path: Path) -> Disk:
    """The schema of the tests' database, in a file."""
    found = Disk(tmp_path)
    connection.ensure_connection()
    target = sqlite3.connect(found.file)
    # Not by SQLite's own backup, which would wait for the transaction that this test is in.
    target.executescript("\n".join(connection.connection.iterdump()))
    target.close()
    return found


@pytest.fixture
def figure(record_property: Figure) -> Figure:
    """Report a figure: in the test's own output, and in the run's report as a property."""

    def tell(name: str, value: object) -> None:
        print(f"{name}: {value}")
        record_property(name, str(value))  # a report travels between processes as plain words

    return tell
