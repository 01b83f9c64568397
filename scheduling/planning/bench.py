"""Solves the problems of a folder, each in a process of its own, and prints a table."""

from __future__ import annotations

import json
import resource
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from scheduling.planning.check import judge
from scheduling.planning.independent import solve_as_mip
from scheduling.planning.plan import parse_plan
from scheduling.planning.problem import Problem, read_problem
from scheduling.planning.rule_of_thumb import plain_plan

HEAD = "problem | cost | bound | gap % | first plan s | seconds | MB | plain rule | MIP"
# Up to so many steps the independent MIP is asked, too, for so many seconds.
MIP_STEPS, MIP_SECONDS = 30, 60.0


@dataclass(frozen=True)
class Run:
    """What a solve of one problem came to."""

    outcome: dict[str, Any]
    first_seconds: float
    megabytes: float


def print_table(folder: Path, seconds: float | None, seed: int) -> None:
    """Print one line for each problem of the folder, by name."""
    print(HEAD)
    for path in sorted(folder.glob("*.json")):
        problem = read_problem(path.read_bytes())
        limit = usual_seconds(problem) if seconds is None else seconds
        print(_line(path.stem, problem, _run(path, limit, seed)), flush=True)


def usual_seconds(problem: Problem) -> float:
    """Return the seconds that a problem of this size is given."""
    size = len(problem.jobs) * len(problem.crews)
    return 5.0 if size <= 40 else 30.0 if size <= 700 else 60.0 if size <= 1500 else 120.0


def _run(path: Path, seconds: float, seed: int) -> Run:
    command = [sys.executable, "-m", "scheduling.planning", "solve", str(path)]
    command += ["--seconds", str(seconds), "--seed", str(seed)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    progress = [json.loads(line) for line in done.stderr.splitlines() if line.startswith("{")]
    first = progress[0]["seconds"] if progress else 0.0
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    return Run(json.loads(done.stdout), first, peak)


def _line(name: str, problem: Problem, run: Run) -> str:
    found = run.outcome
    if found["plan"] is not None:
        judgement = judge(problem, parse_plan(found["plan"]))
        assert judgement.clean, judgement.violations  # noqa: S101 - a table of true costs only
        assert judgement.total == found["cost"]  # noqa: S101
    plain = judge(problem, plain_plan(problem)).total
    gap = "-" if found["gap"] is None else f"{100 * found['gap']:.2f}"
    cells = [name, found["cost"], found["bound"], gap, run.first_seconds, found["seconds"]]
    return " | ".join(str(cell) for cell in [*cells, round(run.megabytes), plain, _mip(problem)])


def _mip(problem: Problem) -> str:
    if sum(len(job.steps) for job in problem.jobs) > MIP_STEPS:
        return "-"
    found = solve_as_mip(problem, MIP_SECONDS)
    cost = "none" if found.cost is None else str(round(found.cost))
    return cost if found.optimal else f"{cost} (bound {found.bound:.0f})"
