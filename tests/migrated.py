"""One empty SQLite file with every table, made once for all test runs until a migration changes.

Migrating takes five seconds of a core, and every server and worker that a test starts needs a
database: they copy this one. It is named by a hash of all that it is made from, so that a run of
one test need not make it; a database of PostgreSQL is made anew in every run. It knows nothing of
what is put into the copies.
"""

import fcntl
import hashlib
import os
import shutil
import subprocess
import sys
from collections.abc import Iterable
from pathlib import Path

import django
from django.apps import apps

from tests.source import BASE

FOLDER = BASE / ".data" / "tests"
# After the migrations the catalogue is filled from its seed; the settings name apps and pragmas.
OTHER_SOURCES = ("jobs/conditions/*.py", "jobs/catalogue/seeding.py", "contractor/settings.py")


def migrated_file(folder: Path = FOLDER) -> Path:
    """The file in a folder; who comes first makes it, who comes meanwhile waits."""
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / f"migrated-{fingerprint(made_from())}.sqlite3"
    with (folder / "migrated.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not file.exists():
            for old in folder.glob("migrated-*"):
                old.unlink()
            # Who dies half way leaves no half file under the name that others look for.
            scratch = folder / "unfinished"
            shutil.rmtree(scratch, ignore_errors=True)
            scratch.mkdir()
            _migrate(scratch).rename(file)
            shutil.rmtree(scratch)
    return file


def made_from() -> list[Path]:
    """Every file that the tables and their rows come from: our apps' and the libraries' alike."""
    places = (Path(app.path, "migrations") for app in apps.get_app_configs())
    migrations = [path for place in places for path in sorted(place.glob("*.py"))]
    others = [path for pattern in OTHER_SOURCES for path in sorted(BASE.glob(pattern))]
    return migrations + others


def fingerprint(paths: Iterable[Path]) -> str:
    """What is in the files, in that order, and Django's version, as a short hash."""
    digest = hashlib.sha256(django.__version__.encode())
    for path in paths:
        digest.update(hashlib.sha256(path.name.encode()).digest())
        digest.update(hashlib.sha256(path.read_bytes()).digest())
    return digest.hexdigest()[:16]


def _migrate(folder: Path) -> Path:
    file = folder / "migrated.sqlite3"
    done = subprocess.run(
        [sys.executable, "manage.py", "migrate", "-v", "0"],
        cwd=BASE,
        env=os.environ
        | {"DATA_DIR": str(folder), "DATABASE_URL": f"sqlite:///{file}", "REDIS_URL": ""},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return file
