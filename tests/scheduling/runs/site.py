"""A site of its own on disk: database, logs and processes that a test may start and kill."""

import json
import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.shifted import python_path

BASE = Path(__file__).resolve().parents[3]
MOST_SECONDS = 180  # a state is waited for; a busy machine is given time

# What the site holds: the invented company, houses to plan, and a run that was asked for.
FILL = """
import django
django.setup()
from contractor.models import Crew
from jobs.models import Job
from scheduling.runs.services.runs import run_ask
from tests.people import ACTOR, NOW, TODAY, company_make
from tests.scheduling.houses import WEEK, house_make
company = company_make()
for number in range(24):
    work = {"air_seal": 60 + 7 * number, "batt": 90 + 5 * number, "flat_blow": 80 + 11 * number}
    house_make(company, f"Lot {number}", work, site=f"Site {number % 5}", batt=1)
run = run_ask(actor=ACTOR, branch=company.fairfield, first=WEEK, weeks=2, seconds=60,
              now=NOW, today=TODAY, ring=False)
print(run.pk)
"""


@dataclass
class Site:
    """A folder with a SQLite file, and the commands that work on it."""

    folder: Path
    lease_seconds: int = 4

    @property
    def database(self) -> Path:
        """The SQLite file."""
        return self.folder / "site.sqlite3"

    @property
    def environment(self) -> dict[str, str]:
        """The environment of every process of this site."""
        return {
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "contractor.settings",
            "DATA_DIR": str(self.folder),
            "DATABASE_URL": f"sqlite:///{self.database}",
            "REDIS_URL": "",
            "SOLVER_WORKERS": "1",
            "RUN_LEASE_SECONDS": str(self.lease_seconds),
            "PYTHONPATH": python_path(),
        }

    def manage(self, *arguments: str) -> "subprocess.Popen[bytes]":
        """Start a command of the site."""
        command = [sys.executable, str(BASE / "manage.py"), *arguments]
        with (self.folder / "stderr").open("ab") as errors:
            return subprocess.Popen(
                command, cwd=BASE, env=self.environment, stdout=subprocess.DEVNULL, stderr=errors
            )

    def python(self, code: str, *arguments: str) -> str:
        """Run some lines of Python in the site and return what they print."""
        done = subprocess.run(
            [sys.executable, "-c", code, *arguments],
            cwd=BASE,
            env=self.environment,
            capture_output=True,
            text=True,
            check=True,
        )
        return done.stdout.strip()

    def fill(self, migrated: Path) -> None:
        """Put some houses and a run that was asked for into a copy of an empty database."""
        shutil.copyfile(migrated, self.database)
        self.python(FILL)

    def copy(self, folder: Path, seconds: int) -> "Site":
        """Return the same site in another folder, its run to last so many seconds."""
        shutil.copytree(self.folder, folder, dirs_exist_ok=True)
        twin = Site(folder)
        twin.tell("UPDATE scheduling_planningrun SET seconds = ?", seconds)
        return twin

    def run(self, run_id: int = 1) -> dict[str, Any]:
        """Return the row of a run as it is now."""
        with sqlite3.connect(self.database) as connection:
            connection.row_factory = sqlite3.Row
            sql = "SELECT * FROM scheduling_planningrun WHERE id = ?"
            row = dict(connection.execute(sql, (run_id,)).fetchone())
        connection.close()
        for name in ("progress", "outcome", "best_plan", "problem"):
            row[name] = json.loads(row[name]) if row[name] else None
        return row

    def tell(self, sql: str, *values: object) -> None:
        """Write to the database from outside."""
        with sqlite3.connect(self.database, timeout=20) as connection:
            connection.execute(sql, values)
        connection.close()

    def wait(self, what: Callable[[dict[str, Any]], Any], seconds: int = MOST_SECONDS) -> Any:
        """Wait until something holds of the run, and return what it gave."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            found = what(self.run())
            if found:
                return found
            time.sleep(0.1)
        raise AssertionError(f"waited {seconds} s; the run: {self.run()}; {self.said()}")

    def said(self) -> str:
        """What workers and solvers wrote."""
        log = self.folder / "logs" / "runs.log"
        return log.read_text() if log.exists() else ""


def child_of(pid: int) -> int | None:
    """Return the process id of a child, None while there is none."""
    children = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    return int(children[0]) if children else None


def kill(pid: int) -> None:
    """End a process that the test started, at once."""
    os.kill(pid, signal.SIGKILL)
