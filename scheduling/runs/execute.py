"""Solves one run: claims it, solves with a heartbeat beside, and keeps the outcome.

Only the processes of `run_solve` and `plan_week` call this: it loads OR-Tools, which web
processes must not.
"""

import logging
import threading
import time
from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any, TypeVar

from django.conf import settings
from django.db import Error as DatabaseError
from django.db import connection
from django.utils import timezone
from django.utils.translation import gettext_noop

from scheduling.models import PlanningRun
from scheduling.planning.check import judge, objection_text
from scheduling.planning.plan import (
    INFEASIBLE,
    Outcome,
    Plan,
    outcome_to_json,
    parse_plan,
    plan_to_json,
)
from scheduling.planning.problem import Problem, parse_problem
from scheduling.planning.session import Progress
from scheduling.runs import lease

BEAT_SECONDS = 1.0
FINISH_TRIES = 60
GRACE_SECONDS = 120
MOST_POINTS = 200
NO_PLAN = gettext_noop("No plan keeps every rule.")
log = logging.getLogger(__name__)
T = TypeVar("T")


class BadPlanError(Exception):
    """The solver gave a plan that the judge refuses; nobody may see it."""


class Watch:
    """What solver and heartbeat tell each other while both run."""

    def __init__(self, points: list[dict[str, Any]]) -> None:
        self._lock = threading.Lock()
        self._points = list(points)
        self._best: Plan | None = None
        self._offset = points[-1]["seconds"] if points else 0.0
        self.stop = threading.Event()
        self.is_lost = False

    def report(self, progress: Progress) -> None:
        """Take a better plan or bound from the solver."""
        point = {
            "seconds": round(self._offset + progress.seconds, 2),
            "cost": progress.cost,
            "bound": progress.bound,
            "gap": round(progress.gap, 5),
        }
        with self._lock:
            self._points.append(point)
            self._best = progress.plan
            if len(self._points) > MOST_POINTS:
                # The first and the newest tell most; of what lies between every second stays.
                self._points = self._points[:-1:2] + self._points[-1:]

    def points(self) -> list[dict[str, Any]]:
        """Return the points so far."""
        with self._lock:
            return list(self._points)

    def best(self) -> dict[str, Any] | None:
        """Return the best plan so far as JSON, None when there is none."""
        with self._lock:
            best = self._best
        return None if best is None else plan_to_json(best)


def run_execute(*, run_id: int, owner: str, clock: Callable[[], datetime] = timezone.now) -> bool:
    """Solve a run from claim to end; False when somebody else has it, or took it over."""
    claim = lease.run_claim(run_id=run_id, owner=owner, now=clock())
    if claim is None:
        return False
    run = PlanningRun.objects.get(pk=run_id)
    watch = Watch(run.progress)
    heart = _Heart(claim, watch, clock)
    heart.start()
    try:
        outcome = _solve(run, watch)
    except Exception as error:
        lease.run_note_error(claim=claim, error=f"{type(error).__name__}: {error}")
        raise
    finally:
        heart.end()
    if watch.is_lost:
        return False
    return _patiently(lambda: _end(claim, clock(), outcome, run.problem["days"], watch.points()))


def run_execute_alone(
    *, run_id: int, owner: str, clock: Callable[[], datetime] = timezone.now
) -> bool:
    """Solve a run in this process without a heartbeat, for somebody who waits for it.

    The lease is taken for the whole time at once; an error ends the run.
    """
    seconds = PlanningRun.objects.values_list("seconds", flat=True).get(pk=run_id)
    claim = lease.run_claim(
        run_id=run_id, owner=owner, now=clock(), lease_seconds=seconds + GRACE_SECONDS
    )
    if claim is None:
        return False
    run = PlanningRun.objects.get(pk=run_id)
    watch = Watch(run.progress)
    try:
        outcome = _solve(run, watch)
    except BaseException as error:
        lease.run_fail(claim=claim, now=clock(), error=f"{type(error).__name__}: {error}")
        raise
    return _end(claim, clock(), outcome, run.problem["days"], watch.points())


def _solve(run: PlanningRun, watch: Watch) -> Outcome:
    from scheduling.planning.solver import solve

    problem = parse_problem(run.problem)
    outcome = solve(
        problem,
        seconds=run.seconds,
        seed=run.seed,
        workers=settings.SOLVER_WORKERS,
        start=_start(problem, run),
        on_progress=watch.report,
        should_stop=watch.stop.is_set,
    )
    if outcome.plan is not None:
        _refuse_bad(problem, outcome.plan)
    return outcome


def _start(problem: Problem, run: PlanningRun) -> Plan | None:
    """The best plan that an earlier attempt left, or the plan of the week when it was asked."""
    if run.best_plan is None:
        return None
    plan = parse_plan(run.best_plan)
    return plan if judge(problem, plan).clean else None


def _refuse_bad(problem: Problem, plan: Plan) -> None:
    found = judge(problem, plan).violations
    if found:
        raise BadPlanError(objection_text(problem, found[0]))


def _end(
    claim: lease.RunClaim,
    now: datetime,
    outcome: Outcome,
    days: Sequence[str],
    points: list[dict[str, Any]],
) -> bool:
    data = outcome_to_json(outcome, days)
    if outcome.status == INFEASIBLE or outcome.plan is None:
        return lease.run_fail(claim=claim, now=now, error=NO_PLAN, outcome=data)
    return lease.run_finish(claim=claim, now=now, outcome=data, progress=points)


def _patiently(write: Callable[[], T]) -> T:
    """Write, and try again each second for a minute while the database restarts."""
    for _ in range(FINISH_TRIES):
        try:
            return write()
        except DatabaseError as error:
            log.warning("the database does not answer, once more: %s", error)
            connection.close()
            time.sleep(1)
    return write()


class _Heart(threading.Thread):
    """Beats every second beside the solver: extends the lease, writes progress, hears wishes."""

    def __init__(self, claim: lease.RunClaim, watch: Watch, clock: Callable[[], datetime]) -> None:
        super().__init__(daemon=True)
        self._claim, self._watch, self._clock = claim, watch, clock
        self._ended = threading.Event()

    def run(self) -> None:
        while not self._ended.wait(BEAT_SECONDS):
            try:
                self._beat()
            except DatabaseError as error:
                log.warning("a heartbeat was missed: %s", error)
                connection.close()
        connection.close()

    def end(self) -> None:
        """Stop beating."""
        self._ended.set()
        self.join()

    def _beat(self) -> None:
        wish = lease.run_beat(
            claim=self._claim,
            now=self._clock(),
            progress=self._watch.points(),
            best_plan=self._watch.best(),
        )
        if wish is None:
            self._watch.is_lost = True
        if wish is None or wish:
            self._watch.stop.set()
