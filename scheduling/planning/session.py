"""One solve as it goes: the best plan, the bound, the clock, who asks it to stop; no strategy."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

from scheduling.planning.check import Judgement, judge, objection_text
from scheduling.planning.plan import Plan, relative_gap
from scheduling.planning.problem import Problem

# How often the caller is asked whether to stop, and told about progress, in seconds.
POLL_SECONDS = 0.1


class PlannerError(Exception):
    """The solver made a plan that its own judge refuses: a defect, never a user's fault."""


@dataclass(frozen=True)
class Progress:
    """Where a solve stands: cents, share, seconds since its start, and the best plan."""

    cost: int
    bound: int
    gap: float
    seconds: float
    plan: Plan


class Session:
    """Holds the best plan that passed the judge and the greatest bound, and says when to end."""

    def __init__(
        self,
        problem: Problem,
        *,
        seconds: float,
        work: float | None,
        on_progress: Callable[[Progress], None] | None,
        should_stop: Callable[[], bool] | None,
        started: float | None = None,
    ) -> None:
        self.problem = problem
        self.started = time.monotonic() if started is None else started
        self.deadline = self.started + seconds
        self.work_left = float("inf") if work is None else float(work)
        self.is_limited = work is not None
        self.stopped = False
        self.best: Plan | None = None
        self.judgement: Judgement | None = None
        self.bound = 0
        self._on_progress = on_progress
        self._should_stop = should_stop
        self._asked = 0.0

    @property
    def plan(self) -> Plan:
        """The best plan so far."""
        if self.best is None:
            raise PlannerError("there is no plan yet")
        return self.best

    @property
    def verdict(self) -> Judgement:
        """What the judge says of the best plan so far."""
        if self.judgement is None:
            raise PlannerError("there is no plan yet")
        return self.judgement

    @property
    def cost(self) -> int:
        """The cost of the best plan, in cents."""
        return self.verdict.total

    @property
    def seconds(self) -> float:
        """The seconds since the start."""
        return time.monotonic() - self.started

    @property
    def seconds_left(self) -> float:
        """The seconds until the time is up, never below 0."""
        return max(0.0, self.deadline - time.monotonic())

    @property
    def share_left(self) -> float:
        """The share of its time that is left, from 1 down to 0."""
        return self.seconds_left / max(1e-9, self.deadline - self.started)

    @property
    def proven(self) -> bool:
        """Tell whether the bound says that no plan is cheaper."""
        return self.judgement is not None and self.bound >= self.cost

    @property
    def breaks_locks(self) -> bool:
        """Tell whether the best plan does not keep what is fixed: then no search may begin."""
        return self.judgement is not None and not self.judgement.clean

    def spend(self, work: float) -> None:
        """Count work that was done, in rounds of ruin and recreate."""
        self.work_left -= work

    def over(self) -> bool:
        """Tell whether to end the search: proven, at a lock not kept, or at the end of all."""
        return self.proven or self.breaks_locks or self.out_of_time() or self.work_left <= 0

    def out_of_time(self) -> bool:
        """Tell whether the seconds are used up or the caller wants to stop."""
        return self.asked_to_stop() or self.seconds_left <= 0

    def asked_to_stop(self) -> bool:
        """Tell whether the caller wants to stop; asks again ten times a second at most."""
        now = time.monotonic()
        if not self.stopped and self._should_stop and now - self._asked >= POLL_SECONDS:
            self._asked = now
            self.stopped = self._should_stop()
        return self.stopped

    def offer(self, plan: Plan) -> bool:
        """Take a plan as the best if the judge finds it clean and cheaper; tell whether it was.

        Raises PlannerError where the judge objects.
        """
        judgement = judge(self.problem, plan)
        objections = [found for found in judgement.violations if found.rule != 8]
        if objections:
            raise PlannerError(objection_text(self.problem, objections[0]))
        if self._is_better(judgement):
            self.best, self.judgement = plan, judgement
            self.report()
            return True
        return False

    def raise_bound(self, bound: int) -> None:
        """Take a greater lower bound."""
        if bound > self.bound:
            self.bound = bound
            self.report()

    def go_on_apart(self, send: Callable[[Plan], None]) -> None:
        """Send better plans from now on, and ask nobody: this is the copy of a process."""
        self._should_stop = None
        self._on_progress = lambda progress: send(progress.plan)

    def report(self) -> None:
        """Tell the caller where the solve stands, once there is a plan."""
        if self._on_progress and self.best is not None:
            bound = min(self.bound, self.cost)
            gap = relative_gap(self.cost, bound)
            self._on_progress(Progress(self.cost, bound, gap, self.seconds, self.best))

    def _is_better(self, judgement: Judgement) -> bool:
        if self.judgement is None:
            return True
        mine = (len(self.judgement.violations), self.judgement.total)
        return (len(judgement.violations), judgement.total) < mine
