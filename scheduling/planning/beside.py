"""Work on the second core: copies of this process that send back what they find; no strategy.

A copy holds all that this process held when it began, and nothing of it is shared afterwards.
It ends when it is told to, when its work is done, and when this process is gone.
"""

from __future__ import annotations

import os
import pickle
import select
import signal
import struct
from collections.abc import Callable
from typing import Any, NoReturn

from scheduling.planning.plan import Plan

HEADER = struct.Struct("!I")
CHUNK = 1 << 16


class Beside:
    """A process of its own that works on and sends plans."""

    def __init__(self, work: Callable[[Callable[[Plan], None]], None]) -> None:
        reading, writing = os.pipe()
        parent = os.getpid()
        self.pid = os.fork()
        if self.pid == 0:
            os.close(reading)
            _work_on(work, writing, parent)
        os.close(writing)
        self._pipe = reading
        self._held = b""
        self.running = True

    def plans(self) -> list[Plan]:
        """Return the plans that have come since the last call; waits for nothing."""
        while self.running and select.select([self._pipe], [], [], 0)[0]:
            chunk = os.read(self._pipe, CHUNK)
            if not chunk:
                self.stop()
            self._held += chunk
        found: list[Plan] = []
        while len(self._held) >= HEADER.size:
            (size,) = HEADER.unpack_from(self._held)
            end = HEADER.size + size
            if len(self._held) < end:
                break
            found.append(pickle.loads(self._held[HEADER.size : end]))  # noqa: S301 - our own copy
            self._held = self._held[end:]
        return found

    def stop(self) -> None:
        """End the process; what it has sent stays."""
        if self.running:
            self.running = False
            os.kill(self.pid, signal.SIGKILL)
            os.waitpid(self.pid, 0)
            os.close(self._pipe)


class Partner:
    """A process of its own that answers questions by a function of what it held when it began."""

    def __init__(self, answer: Callable[[Any], Any]) -> None:
        questions, asking = os.pipe()
        answering, answers = os.pipe()
        self.pid = os.fork()
        if self.pid == 0:
            os.close(asking)
            os.close(answering)
            _answer_on(answer, questions, answers)
        os.close(questions)
        os.close(answers)
        self._asking, self._answers = asking, answering
        self.running = True

    def ask(self, question: Any) -> None:
        """Put a question; `answer` must be taken before the next one."""
        try:
            _write(self._asking, question)
        except BrokenPipeError:
            self.stop()

    def answer(self) -> Any:
        """Wait for the answer and return it; raises EOFError where the partner is gone."""
        if not self.running:
            raise EOFError
        try:
            return _read(self._answers)
        except EOFError:
            self.stop()
            raise

    def stop(self) -> None:
        """End the process."""
        if self.running:
            self.running = False
            os.kill(self.pid, signal.SIGKILL)
            os.waitpid(self.pid, 0)
            os.close(self._asking)
            os.close(self._answers)


def _answer_on(answer: Callable[[Any], Any], questions: int, answers: int) -> NoReturn:
    """Answer in the copy until nobody can ask any more."""
    try:
        while True:
            _write(answers, answer(_read(questions)))
    finally:
        os._exit(0)


def _work_on(work: Callable[[Callable[[Plan], None]], None], pipe: int, parent: int) -> NoReturn:
    """Do the work in the copy, which then ends at once: nothing of the parent's is tidied up."""

    def send(plan: Plan) -> None:
        if os.getppid() != parent:
            os._exit(0)
        _write(pipe, plan)

    try:
        work(send)
    finally:
        os._exit(0)


def _write(pipe: int, value: Any) -> None:
    data = pickle.dumps(value)
    data = HEADER.pack(len(data)) + data
    while data:
        data = data[os.write(pipe, data) :]


def _read(pipe: int) -> Any:
    (size,) = HEADER.unpack(_exactly(pipe, HEADER.size))
    return pickle.loads(_exactly(pipe, size))  # noqa: S301 - from our own copy


def _exactly(pipe: int, size: int) -> bytes:
    data = b""
    while len(data) < size:
        chunk = os.read(pipe, size - len(data))
        if not chunk:
            raise EOFError
        data += chunk
    return data
