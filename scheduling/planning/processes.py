"""Worker processes on the second core: copies of this one that send back what they find.

A copy holds all that this process held when it began, and nothing of it is shared afterwards;
that is why it is forked. It ends when it is told to, when its work is done, and when this process
is gone.
"""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any

from scheduling.planning.plan import Plan

FORK = multiprocessing.get_context("fork")


class _Worker:
    """A forked process at the other end of a pipe."""

    def __init__(self, work: Callable[[Connection], None]) -> None:
        self._pipe, other = FORK.Pipe()
        # What fails in a copy costs the plan nothing but the copy's help.
        self._process = FORK.Process(target=_run, args=(work, self._pipe, other), daemon=True)
        self._process.start()
        other.close()
        self.running = True

    @property
    def pid(self) -> int:
        """The number of the process."""
        return self._process.pid or 0

    def stop(self) -> None:
        """End the process; what it has sent and was taken stays."""
        if self.running:
            self.running = False
            self._process.kill()
            self._process.join()
            self._pipe.close()


def _run(work: Callable[[Connection], None], theirs: Connection, ours: Connection) -> None:
    """Work in the copy, which then ends at once: nothing of the parent's is tidied up."""
    try:
        theirs.close()
        work(ours)
    finally:
        os._exit(0)


class PlanWorker(_Worker):
    """A worker process that goes on by itself and sends plans."""

    def __init__(self, work: Callable[[Callable[[Plan], None]], None]) -> None:
        super().__init__(lambda pipe: work(pipe.send))

    def plans(self) -> list[Plan]:
        """Return the plans that have come since the last call; waits for nothing."""
        found: list[Plan] = []
        try:
            while self.running and self._pipe.poll():
                found.append(self._pipe.recv())
        except (EOFError, OSError):
            # At its end, or in the middle of a plan where it was killed.
            self.stop()
        return found


class AnswerWorker(_Worker):
    """A worker process that answers questions by a function of what it held when it began."""

    def __init__(self, answer: Callable[[Any], Any]) -> None:
        def work(pipe: Connection) -> None:
            while True:
                pipe.send(answer(pipe.recv()))

        super().__init__(work)

    def ask(self, question: Any) -> None:
        """Put a question; `answer` must be taken before the next one."""
        try:
            self._pipe.send(question)
        except OSError:
            self.stop()

    def answer(self) -> Any:
        """Wait for the answer and return it; raises EOFError where the process is gone."""
        if not self.running:
            raise EOFError
        try:
            return self._pipe.recv()
        except (EOFError, OSError) as gone:
            self.stop()
            raise EOFError from gone
