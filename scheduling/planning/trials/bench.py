"""Solves problems, each in a process of its own, and prints a table of what came of them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import Timer
from typing import Any

from scheduling.planning.check import judge, objection_text
from scheduling.planning.plan import parse_plan
from scheduling.planning.problem import Problem, read_problem
from scheduling.planning.reading import FormatError
from scheduling.planning.trials.families import FAMILIES
from scheduling.planning.trials.independent import solve_as_mip
from scheduling.planning.trials.rule_of_thumb import plain_plan

HEAD = "problem | status | cost | bound | gap % | first plan s | above % | seconds | MB"
HEAD += " | plain rule | MIP"
NOTE = "Loading takes {:.1f} s; above %: the plan at its family's second after that, to the last."
# Up to so many steps the independent MIP is asked, too.
MIP_STEPS = 30
# A process that is so much later than it was to end is ended, and its line says so.
PATIENCE_SECONDS = 60.0
# How long an invented problem may take to make: a replanned one is solved for what was posted.
INVENT_SECONDS = 120.0


@dataclass(frozen=True)
class BenchTarget:
    """When a family's problems should be solved, and have a first plan once all is loaded."""

    seconds: float
    first_seconds: float


TARGETS = {
    "small": BenchTarget(5, 0.5),
    "medium": BenchTarget(20, 1),
    "mixed": BenchTarget(30, 1),
    "tight": BenchTarget(30, 1),
    "large": BenchTarget(60, 3),
    "huge": BenchTarget(120, 5),
    "replan": BenchTarget(5, 0.5),
}


@dataclass(frozen=True)
class Settings:
    """How each problem is solved; `seconds` None for those of its family, `work` for no limit.

    `mip_seconds` 0 leaves the independent MIP out.
    """

    seconds: float | None = None
    seed: int = 0
    work: float | None = None
    mip_seconds: float = 60.0


@dataclass(frozen=True)
class Child:
    """A process that has ended: from its start to its end, and the most memory it ever held."""

    seconds: float
    megabytes: float
    log: str


@dataclass(frozen=True)
class Source:
    """A problem of the table: its name, and its file or the family and seed to invent it by."""

    name: str
    path: Path | None = None
    family: str = ""
    seed: int = 0


class RunError(Exception):
    """A process failed, or what it returned is wrong; the message says how."""


def sources_of(folder: Path | None, families: Sequence[str], seeds: Sequence[int]) -> list[Source]:
    """Return the problems of a folder, by name, then those of each family by seed.

    Raises FormatError where there is none.
    """
    if folder is not None and not folder.is_dir():
        raise FormatError(f"{folder}: expected a folder of week-problem/1 files")
    paths = sorted(folder.glob("*.json")) if folder else []
    found = [Source(path.stem, path) for path in paths]
    found += [Source(f"{name}-{seed}", None, name, seed) for name in families for seed in seeds]
    if not found:
        where = f"{folder}: there is no *.json file" if folder else "expected a folder or --family"
        raise FormatError(where)
    return found


def print_table(sources: Sequence[Source], settings: Settings) -> int:
    """Print one line for each problem and return how many of them failed."""
    # Where loading fails every solve will, and its line tells why.
    load = ["-c", "import scheduling.planning.solver"]
    loading = run_child(load, PATIENCE_SECONDS, expected=(0, 1)).seconds
    print(NOTE.format(loading), HEAD, sep="\n", flush=True)
    failed = 0
    with TemporaryDirectory() as folder:
        for source in sources:
            try:
                cells = _cells(source, settings, loading, Path(folder))
            except (RunError, FormatError, OSError) as error:
                failed += 1
                cells = iter([f"failed: {error}"])
            print(" | ".join([source.name, *cells]), flush=True)
    return failed


def run_child(arguments: Sequence[str], seconds: float, expected: Sequence[int] = (0,)) -> Child:
    """Run Python with these arguments and return how it went, read from the process itself.

    Raises RunError where it ends with another exit status than expected, or not in time.
    """
    with TemporaryDirectory() as folder:
        log = Path(folder) / "log"
        started = time.monotonic()
        with log.open("wb") as out:
            process = subprocess.Popen([sys.executable, *arguments], stdout=out, stderr=out)
        guard = Timer(seconds, process.kill)
        guard.start()
        # Not `wait`: this tells the memory of this one process, not the most of all so far.
        _, status, usage = os.wait4(process.pid, 0)
        guard.cancel()
        process.returncode = os.waitstatus_to_exitcode(status)
        took = time.monotonic() - started
        text = log.read_text(errors="replace")
    if process.returncode not in expected:
        last = (text.strip().splitlines() or ["no word"])[-1]
        raise RunError(f"exit status {process.returncode} after {took:.1f} s: {last}")
    return Child(took, usage.ru_maxrss / 1024, text)


def target_of(name: str, problem: Problem) -> BenchTarget:
    """Return the target of the family that a name such as `medium-3` begins with, of the
    least family that is as large as the problem where it begins with none.
    """
    family = name.rpartition("-")[0]
    if family in TARGETS:
        return TARGETS[family]
    size = len(problem.jobs) * len(problem.crews)
    sizes = {key: each.jobs * each.crews for key, each in FAMILIES.items()}
    return TARGETS[next((key for key in FAMILIES if size <= sizes[key]), "huge")]


def _cells(source: Source, settings: Settings, loading: float, folder: Path) -> Iterator[str]:
    path = source.path or _invented(source, folder)
    problem = read_problem(path.read_bytes())
    target = target_of(source.name, problem)
    child, outcome = _solved(path, settings.seconds or target.seconds, settings, folder)
    refuse_wrong(problem, outcome)
    progress = [json.loads(line) for line in child.log.splitlines() if line.startswith("{")]
    cells = [outcome["status"], outcome["cost"], outcome["bound"], _percent(outcome["gap"])]
    cells += [progress[0]["seconds"] if progress else None]
    cells += [first_excess(progress, loading + target.first_seconds)]
    cells += [f"{child.seconds:.2f}", round(child.megabytes)]
    cells += [judge(problem, plain_plan(problem)).total, _mip(problem, settings.mip_seconds)]
    return iter(["-" if cell is None else str(cell) for cell in cells])


def _invented(source: Source, folder: Path) -> Path:
    path = folder / f"{source.name}.json"
    command = ["-m", "scheduling.planning", "invent", source.family, str(source.seed)]
    run_child([*command, "--out", str(path)], INVENT_SECONDS)
    return path


def _solved(
    path: Path, seconds: float, settings: Settings, folder: Path
) -> tuple[Child, dict[str, Any]]:
    out = folder / "outcome.json"
    command = ["-m", "scheduling.planning", "solve", str(path), "--out", str(out)]
    command += ["--seconds", str(seconds), "--seed", str(settings.seed)]
    command += [] if settings.work is None else ["--work", str(settings.work)]
    # 3: what is fixed breaks a rule; that is an outcome, too.
    child = run_child(command, seconds + PATIENCE_SECONDS, expected=(0, 3))
    return child, json.loads(out.read_bytes())


def refuse_wrong(problem: Problem, outcome: dict[str, Any]) -> None:
    """Raise RunError where the judge does not agree: this is a table of true costs only."""
    if outcome["plan"] is None:
        return
    judgement = judge(problem, parse_plan(outcome["plan"]))
    if judgement.violations:
        raise RunError(f"the judge objects: {objection_text(problem, judgement.violations[0])}")
    if judgement.total != outcome["cost"]:
        raise RunError(f"said to cost {outcome['cost']}, costs {judgement.total}")
    if outcome["bound"] > judgement.total:
        raise RunError(f"the bound {outcome['bound']} is above the cost {judgement.total}")


def first_excess(progress: Sequence[dict[str, Any]], second: float) -> str:
    """Return by how many percent the plan of a second costs more than the last plan."""
    costs = [line["cost"] for line in progress if line["seconds"] <= second]
    if not costs:
        return "no plan"
    last = progress[-1]["cost"]
    return _percent((costs[-1] - last) / last if last else 0.0)


def _percent(share: float | None) -> str:
    return "-" if share is None else f"{100 * share:.2f}"


def _mip(problem: Problem, seconds: float) -> str | None:
    """Return what the independent MIP finds, in a process of its own: it may break off."""
    if not seconds or sum(len(job.steps) for job in problem.jobs) > MIP_STEPS:
        return None
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        try:
            found = pool.submit(solve_as_mip, problem, seconds).result()
        except BrokenProcessPool:
            return "failed"
    cost = "none" if found.cost is None else str(round(found.cost))
    return cost if found.optimal else f"{cost} (bound {found.bound:.0f})"
