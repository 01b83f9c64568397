"""Hears the signals that end a solve, from the first moment on; imports nothing slow."""

from __future__ import annotations

import signal
import threading

_stop = threading.Event()


def hear_signals() -> threading.Event:
    """Return an event that SIGINT and SIGTERM set from now on; for the main thread.

    Whoever calls again gets the same event, and a signal heard before is not lost.
    """
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, _hear)
    return _stop


def _hear(number: int, frame: object) -> None:
    _stop.set()
