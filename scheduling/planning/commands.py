"""The commands of the planner: files in, JSON out, exit status; knows no Django."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from scheduling.planning.check import judge, judgement_to_json
from scheduling.planning.plan import Plan, read_plan
from scheduling.planning.problem import Problem, read_problem
from scheduling.planning.reading import FormatError

OK, FOUND, BAD_FILE = 0, 1, 2


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
    judgement = judge(load_problem(options.problem), load_plan(options.plan))
    print_json(judgement_to_json(judgement))
    return OK if judgement.clean else FOUND


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m scheduling.planning", description="Plans crews and machines to days."
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    check = commands.add_parser("check", help="judge a plan: the rules it breaks and its costs")
    check.add_argument("problem", help="a week-problem/1 file, - for standard input")
    check.add_argument("plan", help="a week-plan/1 or week-outcome/1 file")
    check.set_defaults(run=_check)
    return parser
