"""A scratch copy of the embedded database, and child processes that work on it; measures nothing.

What is measured must not mark the data of people: sessions, links and events go into the copy.
"""

import os
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.error import URLError

from django.conf import settings
from django.core.management.base import CommandError
from django.db import connection

from scheduling.runs.bell import NICENESS, child_environment

START_SECONDS = 60


@contextmanager
def scratch_copy() -> Iterator[Path]:
    """Work on a copy of the database until the block ends; yields the folder it lies in.

    Raises CommandError where the database is no SQLite file.
    """
    if connection.vendor != "sqlite":
        raise CommandError("This measures on a copy of the embedded database: unset DATABASE_URL.")
    with tempfile.TemporaryDirectory() as name:
        copy = Path(name) / "copy.sqlite3"
        with connection.cursor() as cursor:
            cursor.execute("VACUUM INTO %s", [str(copy)])
        real = connection.settings_dict["NAME"]
        _use(str(copy))
        try:
            yield Path(name)
        finally:
            _use(real)


def _use(name: str) -> None:
    connection.close()
    connection.settings_dict["NAME"] = name


@contextmanager
def server_running(folder: Path) -> Iterator[int]:
    """Serve the copy by gunicorn on a free port of 127.0.0.1; yields the port."""
    port = _free_port()
    command = [sys.executable, "-m", "gunicorn", "contractor.wsgi", "-k", "gthread"]
    command += ["-w", "2", "--threads", "8", "-b", f"127.0.0.1:{port}"]
    with _child(command, folder / "server.log") as server:
        _wait_until_alive(port, server, folder / "server.log")
        yield port


@contextmanager
def solver_running(problem: Path, seconds: int) -> Iterator["subprocess.Popen[bytes]"]:
    """Solve a problem beside, with the priority that a planning run has; ended with the block."""
    command = [sys.executable, "-m", "scheduling.planning", "solve", str(problem)]
    command += ["--seconds", str(seconds)]
    with _child(command, problem.with_suffix(".log")) as solver:
        os.setpriority(os.PRIO_PROCESS, solver.pid, NICENESS)
        yield solver


@contextmanager
def _child(command: list[str], log: Path) -> Iterator["subprocess.Popen[bytes]"]:
    with log.open("wb") as out:
        child = subprocess.Popen(
            command, cwd=settings.BASE_DIR, env=child_environment(), stdout=out, stderr=out
        )
    try:
        yield child
    finally:
        child.terminate()
        child.wait(timeout=30)


def _free_port() -> int:
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        return int(listener.getsockname()[1])


def _wait_until_alive(port: int, server: "subprocess.Popen[bytes]", log: Path) -> None:
    end = time.monotonic() + START_SECONDS
    while time.monotonic() < end and server.poll() is None:
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/livez", timeout=2):
                return
        except (URLError, ConnectionError, TimeoutError):
            time.sleep(0.1)
    raise CommandError(f"The server did not start:\n{log.read_text()}")
