"""Works on waiting runs: each in a child process, watched to its end; loads no solver itself."""

import os
import socket
import subprocess
import sys
from uuid import uuid4

from django.conf import settings
from django.utils import timezone

from scheduling.models import PlanningRun
from scheduling.runs.bell import MANAGE, child_environment, log_file
from scheduling.runs.lease import run_release, runs_settle

# Start-up, writing the outcome and a database that restarts may take this long beside the solve.
GRACE_SECONDS = 120


def runs_drain() -> int:
    """Work on one run after the other until none waits; return how many attempts were made."""
    attempts = 0
    while (run_id := _next()) is not None:
        run_attempt(run_id)
        attempts += 1
    return attempts


def run_work(run_id: int) -> None:
    """Work on one run until it has ended or somebody else works on it."""
    while PlanningRun.objects.claimable(timezone.now()).filter(pk=run_id).exists():
        run_attempt(run_id)
        runs_settle(now=timezone.now())


def run_attempt(run_id: int) -> int:
    """Solve a run in a child process and return the child's exit status.

    When the child dies its lease is given back at once, not when it runs out.
    """
    run = PlanningRun.objects.only("attempt", "seconds").get(pk=run_id)
    owner = f"{socket.gethostname()}/{os.getpid()}/{uuid4().hex[:8]}"[:80]
    status = _child(run_id, owner, run.seconds + GRACE_SECONDS)
    if status != 0:
        run_release(run_id=run_id, owner=owner, attempt_before=run.attempt, now=timezone.now())
    return status


def be_nice(niceness: int) -> None:
    """Leave the processor to others first, where the system knows how."""
    if niceness and hasattr(os, "nice"):
        os.nice(niceness)


def _next() -> int | None:
    now = timezone.now()
    runs_settle(now=now)
    waiting = PlanningRun.objects.claimable(now).order_by("asked_at")
    return waiting.values_list("pk", flat=True).first()


def _child(run_id: int, owner: str, seconds: int) -> int:
    command = [sys.executable, str(MANAGE), "run_solve", str(run_id), "--owner", owner]
    with log_file().open("ab") as out:
        child = subprocess.Popen(
            command,
            stdin=subprocess.DEVNULL,
            stdout=out,
            stderr=out,
            env=child_environment(),
            cwd=settings.BASE_DIR,
        )
        try:
            return child.wait(timeout=seconds)
        except subprocess.TimeoutExpired:
            return -1
        finally:
            if child.poll() is None:
                child.kill()
                child.wait()
