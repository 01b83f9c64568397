"""The whole suite can begin at another moment, and whatever Python it starts begins there too."""

import os
import subprocess
import sys
from datetime import UTC, datetime, timedelta

from tests.shifted import AHEAD
from tests.source import BASE

ASK = "from datetime import UTC, datetime; print(datetime.now(UTC).isoformat())"


def test_a_process_that_a_shifted_suite_starts_is_shifted_as_well() -> None:
    environment = os.environ | {
        AHEAD: str(timedelta(days=400).total_seconds()),
        "PYTHONPATH": os.pathsep.join([str(BASE / "tests" / "clock"), str(BASE)]),
    }
    done = subprocess.run(
        [sys.executable, "-c", ASK], env=environment, capture_output=True, text=True, check=True
    )
    there = datetime.fromisoformat(done.stdout.strip())
    here = datetime.now(UTC) - timedelta(seconds=float(os.environ.get(AHEAD, "0")))
    assert timedelta(days=399) < there - here < timedelta(days=401)
