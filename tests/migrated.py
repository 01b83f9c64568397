"""One empty SQLite file with every table, made once for all processes of a test run.

Migrating takes five seconds of a core, and every server and worker that a test starts needs a
database: they copy this one. It knows nothing of what is put into the copies.
"""

import fcntl
import os
import subprocess
import sys
from pathlib import Path

from tests.source import BASE


def migrated_file(folder: Path) -> Path:
    """The file in a folder; who comes first makes it, who comes meanwhile waits."""
    file = folder / "migrated.sqlite3"
    with (folder / "migrated.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not file.exists():
            _migrate(folder / "unfinished.sqlite3").rename(file)
    return file


def _migrate(file: Path) -> Path:
    file.unlink(missing_ok=True)
    done = subprocess.run(
        [sys.executable, "manage.py", "migrate", "-v", "0"],
        cwd=BASE,
        env=os.environ
        | {"DATA_DIR": str(file.parent), "DATABASE_URL": f"sqlite:///{file}", "REDIS_URL": ""},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return file
