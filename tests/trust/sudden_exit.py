"""Ends a process at once at the n-th SQL statement of a service, and reads what is on the disk.

A child of a child: for each point the process forks, and the fork works on a copy of the file and
leaves by `os._exit`, which runs no cleaning up, as a killed process does not.
"""

import hashlib
import os
import secrets
import shutil
import sqlite3
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from functools import partial
from pathlib import Path
from random import Random
from typing import Any

from django.conf import settings
from django.db import connection

from tests.people import company_make
from tests.trust.faults.test_faults import CASES

ENDED = 9  # how a process leaves at its point
WENT_ON = 0  # how a process leaves that reached the end
BEFORE_COMMIT, AFTER_COMMIT = "before commit", "after commit"
Point = int | str


@dataclass
class Exits:
    """What a service left on the disk when its process ended at so many points."""

    statements: int
    points: int
    half_done: list[str]
    lost: list[str]


def main(most: str, *names: str) -> dict[str, Any]:
    """Try each service named at no more than so many of its statements."""
    empty = Path(settings.DATABASES["default"]["NAME"])
    return {name: asdict(exits_of(name, empty, int(most))) for name in names}


def exits_of(name: str, empty: Path, most: int) -> Exits:
    """End the service's process at its statements and at both sides of its commit."""
    before = _copy(empty, empty.with_name(f"{name}.before"))
    _use(before)
    call = CASES[name](company_make())
    connection.close()
    trial = empty.with_name(f"{name}.trial")
    statements = _count(call, _copy(before, trial))
    old, new = digest_of(before), digest_of(trial)
    assert old != new, f"{name} changed nothing"
    exits = Exits(statements, 0, [], [])
    points: list[Point] = [*spread(statements, most), BEFORE_COMMIT, AFTER_COMMIT]
    for point in points:
        _forked(partial(_end_at, point, call), _copy(before, trial), ENDED)
        found = digest_of(trial)
        exits.points += 1
        if point == AFTER_COMMIT and found != new:
            exits.lost.append(f"{name} {point}")
        elif point != AFTER_COMMIT and found != old:
            exits.half_done.append(f"{name} at {point}")
    return exits


def spread(statements: int, most: int) -> list[int]:
    """No more than `most` numbers of statements, evenly spaced from the first to the last."""
    if statements <= most:
        return list(range(1, statements + 1))
    step = (statements - 1) / (most - 1)
    return sorted({round(1 + number * step) for number in range(most)})


def digest_of(file: Path) -> str:
    """A digest of every row in a file, which a new connection first puts in order."""
    digest = hashlib.sha256()
    reader = sqlite3.connect(file)
    assert reader.execute("PRAGMA integrity_check").fetchall() == [("ok",)], file
    assert reader.execute("PRAGMA foreign_key_check").fetchall() == [], file
    names = reader.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")
    for (table,) in names.fetchall():
        digest.update(table.encode())
        for row in reader.execute(f'SELECT * FROM "{table}" ORDER BY rowid'):  # noqa: S608
            digest.update(repr(row).encode())
    reader.close()
    return digest.hexdigest()


def _copy(source: Path, target: Path) -> Path:
    for leftover in target.parent.glob(f"{target.name}*"):
        leftover.unlink()
    shutil.copyfile(source, target)
    return target


def _use(file: Path) -> None:
    connection.close()
    connection.settings_dict["NAME"] = str(file)


def _forked(work: Callable[[], object], file: Path, expected: int) -> None:
    """Work on a file in a fork, and see that it left as expected."""
    child = os.fork()
    if child == 0:
        code = 1
        # What is drawn at random is the same in every fork, or no two would leave the same rows.
        secrets.token_urlsafe = lambda nbytes=None: "r" * (nbytes or 32)
        os.urandom = Random(7).randbytes
        try:
            _use(file)
            work()
            connection.close()
            code = WENT_ON
        finally:
            os._exit(code)
    left = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    assert left == expected, f"left by {left}, expected {expected}"


def _count(call: Callable[[], object], file: Path) -> int:
    """Do the whole call on a file and return how many statements it sends."""
    told, tell = os.pipe()

    def work() -> None:
        sent = [0]
        with connection.execute_wrapper(_counting(sent)):
            call()
        os.write(tell, str(sent[0]).encode())

    _forked(work, file, WENT_ON)
    os.close(tell)
    return int(os.read(told, 20))


def _counting(sent: list[int], last: Point = 0) -> Callable[..., Any]:
    def wrapper(execute: Callable[..., Any], sql: str, *rest: Any) -> Any:
        sent[0] += 1
        if sent[0] == last:
            os._exit(ENDED)
        return execute(sql, *rest)

    return wrapper


def _end_at(point: Point, call: Callable[[], object]) -> None:
    commit: Callable[[], None] = connection._commit  # type: ignore[attr-defined]

    def ending_commit() -> None:
        if point == BEFORE_COMMIT:
            os._exit(ENDED)
        commit()
        if point == AFTER_COMMIT:
            os._exit(ENDED)

    connection._commit = ending_commit  # type: ignore[attr-defined]
    with connection.execute_wrapper(_counting([0], point)):
        call()


def total(exits: Sequence[dict[str, Any]], name: str) -> int:
    """The sum of a figure over services."""
    return sum(one[name] for one in exits)
