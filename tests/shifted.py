"""The suite at another moment: `pytest --at "2028-02-29 05:58"` (UTC), a moment that goes on.

What tests take for now is then that moment in this process, in its workers and in all Python
processes that a test starts. A browser keeps the machine's clock, as a phone may that is wrong.
"""

import os
from datetime import UTC, datetime, timedelta

import time_machine

from tests.source import BASE

AHEAD = "TESTS_CLOCK_AHEAD_SECONDS"


def clock_shift(ahead_seconds: float) -> None:
    """Let this process's clock run so many seconds ahead, from now to its end."""
    then = datetime.now(UTC) + timedelta(seconds=ahead_seconds)
    time_machine.travel(then, tick=True).start()


def suite_shift(at: str) -> None:
    """Begin the suite at a moment in UTC. Raises ValueError where the text is none."""
    if AHEAD in os.environ:  # a worker, or a process of theirs: shifted by its own start already
        return
    then = datetime.fromisoformat(at).replace(tzinfo=UTC)
    ahead_seconds = (then - datetime.now(UTC)).total_seconds()
    os.environ[AHEAD] = str(ahead_seconds)
    os.environ["PYTHONPATH"] = python_path()
    clock_shift(ahead_seconds)


def python_path() -> str:
    """Return where a process that a test starts finds the project, and its shifted clock."""
    paths = [str(BASE / "tests" / "clock")] if AHEAD in os.environ else []
    return os.pathsep.join([*paths, str(BASE)])
