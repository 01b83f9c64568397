"""The command: a takeoff's file in, an estimate out, as JSON or as sentences."""

import argparse
import json
import sys
from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path

from jobs.conditions.sentences import Sentence
from jobs.estimating.estimate import estimate_takeoff
from jobs.estimating.files import estimate_file
from jobs.estimating.reading import TakeoffError
from jobs.estimating.sentences import sentences

BAD_INPUT = 2
LARGEST_FILE = 64 * 1024 * 1024


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the estimate of the takeoff; 2 and a message where it cannot be right."""
    parser = argparse.ArgumentParser(
        prog="python -m jobs.estimating",
        description="Print the estimate of a takeoff: bags, machine minutes, crew minutes.",
    )
    parser.add_argument("takeoff", help="file of the form takeoff/1; - reads standard input")
    parser.add_argument("--explain", action="store_true", help="print sentences instead of JSON")
    chosen = parser.parse_args(arguments)
    try:
        estimate = estimate_takeoff(read_file(chosen.takeoff))
    except TakeoffError as error:
        print(error, file=sys.stderr)
        return BAD_INPUT
    if chosen.explain:
        print("\n".join(sentences(estimate)))
    else:
        print(json.dumps(estimate_file(estimate), indent=1))
    return 0


def read_file(name: str) -> dict[str, object]:
    """Return the object in a JSON file. Raises TakeoffError with the file as its path."""
    try:
        raw = sys.stdin.buffer.read() if name == "-" else _bytes(Path(name))
        data = json.loads(
            raw.decode("utf-8-sig"),
            parse_float=Decimal,
            parse_constant=_no_constant,
            object_pairs_hook=_no_key_twice,
        )
    except OSError as error:
        raise _refused(name, f"cannot be read: {error.strerror or error}") from None
    except RecursionError:
        raise _refused(name, "is nested too deeply") from None
    except ValueError as error:
        raise _refused(name, f"is not JSON: {error}") from None
    if not isinstance(data, dict):
        raise _refused(name, "expected an object with format, materials and spaces")
    return data


def _refused(name: str, why: str) -> TakeoffError:
    return TakeoffError(name, Sentence("%(why)s", {"why": why}))


def _bytes(path: Path) -> bytes:
    if path.is_file() and path.stat().st_size > LARGEST_FILE:
        raise _refused(str(path), "is larger than 64 MB")
    return path.read_bytes()


def _no_constant(name: str) -> object:
    raise ValueError(f"{name} is not a number of JSON")


def _no_key_twice(pairs: list[tuple[str, object]]) -> dict[str, object]:
    data = dict(pairs)
    if len(data) != len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise ValueError(f"the key {twice!r} stands twice in one object")
    return data


if __name__ == "__main__":
    sys.exit(main())
