"""Solves a problem: a plan at once, a better one from then on, a bound; loads the solvers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from scheduling.planning.locks.keeping import keep_locks
from scheduling.planning.outcome import infeasible, outcome_of
from scheduling.planning.plan import Outcome, Plan
from scheduling.planning.problem import Problem
from scheduling.planning.session import Progress, Session
from scheduling.planning.stages import stages_run

__all__ = ["Progress", "solve"]


def solve(
    problem: Problem,
    *,
    seconds: float = 20.0,
    seed: int = 0,
    workers: int = 2,
    work: float | None = None,
    start: Plan | None = None,
    on_progress: Callable[[Progress], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
    started: float | None = None,
) -> Outcome:
    """Return the best plan found, its cost and a lower bound of every plan's cost, in cents.

    Ends when the plan is proven, when `seconds` have passed since `started` (a reading of
    `time.monotonic`, now by default), when `work` rounds are used up, or when `should_stop`,
    asked at least four times a second, says so. With the same problem, seed, workers and
    work, and time enough, the same plan is returned. `start` is a plan to begin from; what
    of it breaks a rule is dropped. `on_progress` hears of every better plan or bound.
    """
    # No crew-day has more stops than there are jobs, whatever is allowed.
    stops = min(problem.max_stops, max(1, len(problem.jobs)))
    session = Session(
        replace(problem, max_stops=stops),
        seconds=seconds,
        work=work,
        on_progress=on_progress,
        should_stop=should_stop,
        started=started,
    )
    stages_run(session, start, seed=seed, workers=workers)
    if session.breaks_locks:
        locks = keep_locks(problem, session.out_of_time)
        if locks.plan is None:
            return infeasible(session, locks.clashes)
        session.offer(locks.plan)
        stages_run(session, locks.plan, seed=seed, workers=workers)
    return outcome_of(session)
