"""One empty SQLite file with every table, made once for all test runs until a migration changes.

Migrating takes five seconds of a core, and every server and worker that a test starts needs a
database: they copy this one. It is named by a hash of all that it is made from, so that a run of
one test need not make it. It knows nothing of what is put into the copies.
"""

import fcntl
import hashlib
import os
import subprocess
import sys
import tempfile
from pathlib import Path

import django

from tests.source import BASE

FOLDER = BASE / ".data" / "tests"
# The migrations make the tables, and the catalogue is filled from its seed after them.
MADE_FROM = ("*/migrations/*.py", "jobs/conditions/*.py", "jobs/catalogue/seeding.py")


def migrated_file(folder: Path = FOLDER) -> Path:
    """The file in a folder; who comes first makes it, who comes meanwhile waits."""
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / f"migrated-{fingerprint()}.sqlite3"
    with (folder / "migrated.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not file.exists():
            for old in folder.glob("migrated-*"):
                old.unlink()
            _migrate(folder / "unfinished.sqlite3").rename(file)
    return file


def fingerprint() -> str:
    """What the file is made from, as a short hash."""
    digest = hashlib.sha256(django.__version__.encode())
    for pattern in MADE_FROM:
        for path in sorted(BASE.glob(pattern)):
            digest.update(path.relative_to(BASE).as_posix().encode() + path.read_bytes())
    return digest.hexdigest()[:16]


def _migrate(file: Path) -> Path:
    file.unlink(missing_ok=True)
    with tempfile.TemporaryDirectory() as data:
        done = subprocess.run(
            [sys.executable, "manage.py", "migrate", "-v", "0"],
            cwd=BASE,
            env=os.environ
            | {"DATA_DIR": data, "DATABASE_URL": f"sqlite:///{file}", "REDIS_URL": ""},
            capture_output=True,
            text=True,
            check=False,
        )
    assert done.returncode == 0, done.stderr
    return file
