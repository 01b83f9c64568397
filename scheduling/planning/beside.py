"""Work on the second core: a copy of this process that sends back what it finds; no strategy.

The copy holds all that this process held when it began, and nothing of it is shared afterwards.
It ends when it is told to, when its work is done, and when this process is gone.
"""

from __future__ import annotations

import os
import pickle
import select
import signal
import struct
from collections.abc import Callable

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


def _work_on(work: Callable[[Callable[[Plan], None]], None], pipe: int, parent: int) -> None:
    """Do the work in the copy, which then ends at once: nothing of the parent's is tidied up."""

    def send(plan: Plan) -> None:
        if os.getppid() != parent:
            os._exit(0)
        data = pickle.dumps(plan)
        os.write(pipe, HEADER.pack(len(data)) + data)

    try:
        work(send)
    finally:
        os._exit(0)
