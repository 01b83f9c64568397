"""The second core of a solve: a copy of the process betters the plan there; proves nothing."""

from __future__ import annotations

from collections.abc import Callable

from scheduling.planning.columns.model import Model
from scheduling.planning.improver import Improver
from scheduling.planning.plan import Plan
from scheduling.planning.processes import PlanWorker
from scheduling.planning.session import Session


class SecondCore:
    """Lets a copy of this process do some work over and over, and takes the plans it sends."""

    def __init__(
        self, session: Session, improver: Improver, named: Model, *, is_there: bool
    ) -> None:
        self.session = session
        self.improver = improver
        self.named = named
        self.is_there = is_there
        self.worker: PlanWorker | None = None

    @property
    def is_begun(self) -> bool:
        """Whether a copy was begun, even if it has ended since."""
        return self.worker is not None

    @property
    def is_at_work(self) -> bool:
        """Whether a copy is at work now."""
        return self.worker is not None and self.worker.running

    def begin(self, work: Callable[[], None]) -> None:
        """Let a copy of this process do the work and send its better plans."""
        self.end()
        if not self.is_there or self.session.over():
            return

        def work_on(send: Callable[[Plan], None]) -> None:
            self.worker = None
            self.session.go_on_apart(send)
            draw = self.improver.search.draw
            draw.seed(draw.random())
            while not self.session.over():
                work()

        self.worker = PlanWorker(work_on)

    def take(self) -> None:
        """Take the plans that have come."""
        for plan in self.worker.plans() if self.worker else ():
            self.improver.take_plan(self.named, plan)

    def end(self) -> None:
        """Take what has come, and end the copy."""
        self.take()
        if self.worker:
            self.worker.stop()
