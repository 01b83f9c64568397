"""A copy taken while people write holds whole changes only, and opens as it is.

`VACUUM INTO` copies a live database within one read transaction (sqlite.org/lang_vacuum.html).
"""

import sqlite3
import time
from pathlib import Path

import pytest

from tests.trust.disk import Disk, Figure, answer_of, disk, figure

__all__ = ["disk", "figure"]
COPIES = 3
START_SECONDS = 60


def is_sound(copy: Path) -> bool:
    """Whether SQLite finds no fault, and every version of a condition has its event."""
    reader = sqlite3.connect(copy)
    whole = reader.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    owned = reader.execute("PRAGMA foreign_key_check").fetchall() == []
    version, events = _moves(reader)
    reader.close()
    return whole and owned and version == events + 1


def moves_in(copy: Path) -> int:
    """How many answers a copy holds."""
    reader = sqlite3.connect(copy)
    _, events = _moves(reader)
    reader.close()
    return events


def _moves(reader: sqlite3.Connection) -> tuple[int, int]:
    condition = "SELECT id, version FROM jobs_condition WHERE code = 'ceiling_board'"
    pk, version = reader.execute(condition).fetchone()
    events = (
        "SELECT count(*) FROM contractor_event WHERE noun = 'condition' AND noun_id = ?"
        " AND verb = 'moved'"
    )
    return version, reader.execute(events, [str(pk)]).fetchone()[0]


def copy_taken(disk: Disk, number: int) -> Path:
    copy = disk.folder / f"copy-{number}.sqlite3"
    source = sqlite3.connect(disk.file, timeout=20)
    source.execute("VACUUM INTO ?", [str(copy)])
    source.close()
    return copy


@pytest.mark.sqlite_only
def test_copies_taken_under_writes_are_whole(disk: Disk, figure: Figure) -> None:
    stop, started = disk.folder / "stop", disk.folder / "started"
    writer = disk.child("tests.trust.backup_writer", str(stop), str(started))
    try:
        end = time.monotonic() + START_SECONDS
        while not started.exists() and writer.poll() is None and time.monotonic() < end:
            time.sleep(0.05)
        copies = []
        for number in range(COPIES):
            seen = moves_in(disk.file)
            copies.append(copy_taken(disk, number))
            assert moves_in(copies[-1]) >= seen, "an answer that was there is not in the copy"
            time.sleep(0.2)
    finally:
        stop.touch()
        answers = answer_of(writer)["answers"]
    held = [moves_in(copy) for copy in copies]
    figure("answers in each copy, and at the end", [*held, answers])
    figure("inconsistent copies", sum(not is_sound(copy) for copy in copies))
    assert all(map(is_sound, [*copies, disk.file]))
    assert 0 < held[0] < held[-1] <= answers == moves_in(disk.file)
