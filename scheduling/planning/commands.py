"""The commands of the planner: files in, JSON out, exit status; knows no Django."""

from __future__ import annotations

import argparse
import json
import os
import re
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from scheduling.planning.check import judge, judgement_to_json
from scheduling.planning.edit.changes import changes_of
from scheduling.planning.edit.explain import holdup, obstacles_to_json
from scheduling.planning.plan import INFEASIBLE, Plan, outcome_to_json, read_plan
from scheduling.planning.problem import Problem, problem_to_json, read_problem
from scheduling.planning.reading import FormatError
from scheduling.planning.session import Progress
from scheduling.planning.stopping import hear_signals
from scheduling.planning.trials.families import NAMES, invented_week

OK, FOUND, BAD_FILE, CLASH = 0, 1, 2, 3
# How long a solve takes when nothing is said; with a limit of work alone the clock must not end
# it, or it would not be the same on every run.
USUAL_SECONDS, A_DAY_SECONDS = 20.0, 86_400.0
# The work that goes into the posted plan of an invented week, and the time that is enough.
POSTED_WORK, POSTED_SECONDS = 2500, 100.0


def main(arguments: Sequence[str]) -> int:
    """Run one command and return its exit status: 0, 1 for findings, 2 for a bad file."""
    options = _parser().parse_args(arguments)
    run: Callable[[argparse.Namespace], int] = options.run
    try:
        return run(options)
    except FormatError as error:
        print(error, file=sys.stderr)
    except OSError as error:
        print(f"{error.filename}: {error.strerror}", file=sys.stderr)
    return BAD_FILE


def load_problem(path: str) -> Problem:
    """Return the problem in a file; `-` is standard input."""
    return read_problem(_bytes(path))


def load_plan(path: str) -> Plan:
    """Return the plan in a file: a plan itself or the plan of an outcome."""
    return read_plan(_bytes(path))


def print_json(data: Any) -> None:
    """Print plain values as indented JSON on standard output."""
    print(json.dumps(data, indent=1, ensure_ascii=False))


def _bytes(path: str) -> bytes:
    return sys.stdin.buffer.read() if path == "-" else Path(path).read_bytes()


def _check(options: argparse.Namespace) -> int:
    problem = load_problem(options.problem)
    judgement = judge(problem, load_plan(options.plan))
    print_json(judgement_to_json(judgement, problem.days))
    return OK if judgement.clean else FOUND


def _solve(options: argparse.Namespace) -> int:
    started = process_start()
    _try_to_write(options.out)
    problem = load_problem(options.problem)
    start = load_plan(options.start) if options.start else None
    stop = hear_signals()
    # Loading the solvers takes a second and 80 MB: only this command pays for it.
    from scheduling.planning.solver import solve

    outcome = solve(
        problem,
        seconds=options.seconds or (USUAL_SECONDS if options.work is None else A_DAY_SECONDS),
        seed=options.seed,
        workers=options.workers,
        work=options.work,
        start=start,
        on_progress=_print_progress,
        should_stop=stop.is_set,
        started=started,
    )
    _write(outcome_to_json(outcome, problem.days), options.out)
    return CLASH if outcome.status == INFEASIBLE else OK


def process_start() -> float:
    """Return when this process began, as a reading of `time.monotonic`."""
    try:
        fields = Path("/proc/self/stat").read_text().rpartition(")")[2].split()
        ticks = os.sysconf("SC_CLK_TCK")
        age = time.clock_gettime(time.CLOCK_BOOTTIME) - int(fields[19]) / ticks
    except (OSError, AttributeError, ValueError, IndexError):
        return time.monotonic() - time.process_time()
    return time.monotonic() - max(0.0, age)


def _print_progress(progress: Progress) -> None:
    line = {
        "cost": progress.cost,
        "bound": progress.bound,
        "gap": round(progress.gap, 5),
        "seconds": round(progress.seconds, 2),
    }
    print(json.dumps(line), file=sys.stderr, flush=True)


def _try_to_write(path: str | None) -> None:
    """Raise OSError now, not after a long solve, where a file cannot be written."""
    if path is not None:
        beside = Path(f"{path}.part")
        beside.touch()
        beside.unlink()


def _write(data: Any, path: str | None) -> None:
    """Write JSON to a file in one piece, or to standard output."""
    if path is None:
        print_json(data)
        return
    beside = Path(f"{path}.part")
    beside.write_text(json.dumps(data, indent=1, ensure_ascii=False) + "\n")
    beside.replace(path)


def _above_zero(text: str) -> float:
    value = float(text)
    if not 0 < value < float("inf"):
        raise argparse.ArgumentTypeError(f"expected a number above 0, found {text}")
    return value


def _count(text: str) -> int:
    value = int(text)
    if value < 1:
        raise argparse.ArgumentTypeError(f"expected a whole number from 1, found {text}")
    return value


def _seconds(text: str) -> float:
    value = float(text)
    if not 0 <= value < float("inf"):
        raise argparse.ArgumentTypeError(f"expected a number from 0, found {text}")
    return value


def _range(text: str) -> list[int]:
    """Return the whole numbers of `3` or `1-5`."""
    found = re.fullmatch(r"(\d+)(?:-(\d+))?", text)
    seeds = range(int(found[1]), int(found[2] or found[1]) + 1) if found else range(0)
    if not seeds:
        raise argparse.ArgumentTypeError(f"expected a number or a range such as 1-5, found {text}")
    return list(seeds)


def _add_solve(commands: Any) -> None:
    solve = commands.add_parser("solve", help="plan: at once, then better, then proven")
    solve.add_argument("problem", help="a week-problem/1 file, - for standard input")
    solve.add_argument(
        "--seconds", type=_above_zero, help=f"time for all ({USUAL_SECONDS:.0f}, or by --work)"
    )
    solve.add_argument("--seed", type=int, default=0, help="another seed, another search (0)")
    solve.add_argument("--workers", type=_count, default=2, help="threads of the solvers (2)")
    solve.add_argument("--work", type=_above_zero, help="end after so many rounds of work")
    solve.add_argument("--start", help="a plan to begin from")
    solve.add_argument("--out", help="file for the outcome (standard output)")
    solve.set_defaults(run=_solve)


def _explain(options: argparse.Namespace) -> int:
    problem, plan = load_problem(options.problem), load_plan(options.plan)
    if options.job not in problem.job_by_id:
        raise FormatError(f"there is no job {options.job}")
    print_json(obstacles_to_json(holdup(problem, plan, options.job), problem.days))
    return OK


def _changes(options: argparse.Namespace) -> int:
    problem, plan = load_problem(options.problem), load_plan(options.plan)
    posted = load_plan(options.posted) if options.posted else None
    for change in changes_of(problem, plan, posted):
        print(change.sentence(problem))
    return OK


def _bench(options: argparse.Namespace) -> int:
    # As with solve: the solvers are loaded only here.
    from scheduling.planning.trials.bench import Settings, print_table, sources_of

    folder = Path(options.folder) if options.folder else None
    sources = sources_of(folder, options.family, options.seeds)
    settings = Settings(options.seconds, options.seed, options.work, options.mip_seconds)
    return FOUND if print_table(sources, settings) else OK


def _invent(options: argparse.Namespace) -> int:
    problem = invented_week(options.family, options.seed, _posted)
    _write(problem_to_json(problem), options.out)
    return OK


def _posted(problem: Problem) -> Plan:
    """Return a good plan of a problem, the same on every run: work ends it, not the clock."""
    # As with solve: the solvers are loaded only here.
    from scheduling.planning.solver import solve

    outcome = solve(problem, seconds=POSTED_SECONDS, work=POSTED_WORK)
    return outcome.plan or Plan()


def _add_readers(commands: Any) -> None:
    explain = commands.add_parser("explain", help="what keeps a job's next step off each day")
    explain.add_argument("problem")
    explain.add_argument("plan")
    explain.add_argument("job", help="the id of a job")
    explain.set_defaults(run=_explain)
    changes = commands.add_parser("changes", help="what a plan changes of what was posted")
    changes.add_argument("problem")
    changes.add_argument("plan")
    changes.add_argument("--posted", help="the plan that was posted, for what is saved")
    changes.set_defaults(run=_changes)


def _add_bench(commands: Any) -> None:
    invent = commands.add_parser("invent", help="an invented problem, the same for each seed")
    invent.add_argument("family", choices=NAMES)
    invent.add_argument("seed", type=int)
    invent.add_argument("--out", help="file for the problem (standard output)")
    invent.set_defaults(run=_invent)
    bench = commands.add_parser("bench", help="solve many problems, print a table")
    bench.add_argument("folder", nargs="?", help="solve the problems in it")
    bench.add_argument(
        "--family", action="append", choices=NAMES, default=[], help="solve invented problems, too"
    )
    bench.add_argument("--seeds", type=_range, default=[1], help="of those, such as 3 or 1-5 (1)")
    bench.add_argument("--seconds", type=_above_zero, help="for each (by its family)")
    bench.add_argument("--seed", type=int, default=0, help="of the search (0)")
    bench.add_argument("--work", type=_above_zero, help="end each after so many rounds of work")
    bench.add_argument(
        "--mip-seconds", type=_seconds, default=60.0, help="for the MIP on small ones, 0: none (60)"
    )
    bench.set_defaults(run=_bench)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m scheduling.planning", description="Plans crews and machines to days."
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    _add_solve(commands)
    _add_readers(commands)
    _add_bench(commands)
    check = commands.add_parser("check", help="judge a plan: the rules it breaks and its costs")
    check.add_argument("problem", help="a week-problem/1 file, - for standard input")
    check.add_argument("plan", help="a week-plan/1 or week-outcome/1 file")
    check.set_defaults(run=_check)
    return parser
