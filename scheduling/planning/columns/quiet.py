"""Makes HiGHS without its greeting, which would spoil JSON on standard output."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager

import highspy


def new_highs(**options: bool | float | str) -> highspy.Highs:
    """Return a solver that prints nothing, with these options and one thread."""
    with _nothing_printed():
        highs = highspy.Highs()  # type: ignore[no-untyped-call]
    for name, value in {"output_flag": False, "threads": 1, **options}.items():
        highs.setOptionValue(name, value)
    return highs


@contextmanager
def _nothing_printed() -> Iterator[None]:
    """Send what compiled code prints nowhere; Python's own output is not buffered there."""
    kept = os.dup(1)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)
