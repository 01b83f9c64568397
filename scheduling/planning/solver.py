"""Solves a problem: a plan at once, a better one from then on, a bound; loads the solvers."""

from __future__ import annotations

import time
from collections.abc import Callable

from scheduling.planning.assemble import arcs_of, plan_of
from scheduling.planning.draft import Draft, Table, table_of
from scheduling.planning.model import Model, kinds_by_name
from scheduling.planning.placing import machine_kinds, placed_steps
from scheduling.planning.plan import (
    FEASIBLE,
    INFEASIBLE,
    PROVEN,
    STOPPED,
    MachineUse,
    Outcome,
    Plan,
    Unplaced,
)
from scheduling.planning.problem import Problem
from scheduling.planning.recreate import Search, first_draft
from scheduling.planning.session import Progress, Session
from scheduling.planning.standing import standing_part

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
    session = Session(
        problem,
        seconds=seconds,
        work=work,
        on_progress=on_progress,
        should_stop=should_stop,
        started=started,
    )
    _improve(session, seed, start)
    del workers
    return _outcome(session)


def _improve(session: Session, seed: int, start: Plan | None) -> None:
    model = Model(session.problem, kinds_by_name(session.problem))
    tables = [table_of(model, j) for j in range(len(session.problem.jobs))]
    draft = Draft(model, tables)
    if start is not None:
        _begin_from(draft, tables, start)
    session.raise_bound(_single_job_bound(model, tables))
    draft = first_draft(draft)
    session.offer(plan_of(draft))
    search = Search(draft, seed)
    while not session.over():
        session.spend(search.run(50, session.over))
        if search.best_cost < session.cost:
            session.offer(plan_of(search.best))


def _begin_from(draft: Draft, tables: list[Table], start: Plan) -> None:
    """Put into the draft what stands of a plan."""
    plan, _ = standing_part(draft.model.problem, start)
    for j, table in enumerate(tables):
        arcs = arcs_of(draft.model, table.stays, plan, j)
        if arcs:
            draft.put(j, arcs)


def _single_job_bound(model: Model, tables: list[Table]) -> int:
    """Return the sum of what each job costs at least, were it alone and drives free."""
    total = 0
    for j, table in enumerate(tables):
        costs = [model.left_out_cost(j, i) for i in range(len(model.problem.jobs[j].steps))]
        ends = [run.cost.min() for run in table.runs] + [stay.cost for stay in table.stays]
        total += min(int(cost) for cost in (*ends, *costs))
    return total


def _outcome(session: Session) -> Outcome:
    plan, judgement = session.plan, session.verdict
    if judgement.violations:
        return _infeasible(session)
    return Outcome(
        status=_status(session),
        cost=session.cost,
        bound=min(session.bound, session.cost),
        seconds=time.monotonic() - session.started,
        plan=plan,
        costs=judgement.costs,
        unplaced=_unplaced(session.problem, plan),
        machines=_machines(session.problem, plan),
    )


def _status(session: Session) -> str:
    if session.proven:
        return PROVEN
    return STOPPED if session.stopped else FEASIBLE


def _infeasible(session: Session) -> Outcome:
    wanted = {entry.step: entry for entry in session.problem.fixed}
    clashes = tuple(
        Unplaced(found.where, found.text, wanted[found.where].crew, wanted[found.where].day)
        for found in session.verdict.violations
    )
    return Outcome(INFEASIBLE, None, session.bound, session.seconds, None, unplaced=clashes)


def _unplaced(problem: Problem, plan: Plan) -> tuple[Unplaced, ...]:
    placed = placed_steps(plan)
    left = []
    for job in problem.jobs:
        missing = [step for step in job.steps if step.id not in placed]
        for step in missing:
            if not step.minutes:
                reason = "no crew is able to do it"
            elif step is missing[0]:
                reason = "leaving it out costs less than any day found for it"
            else:
                reason = f"{missing[0].id} before it is left out"
            left.append(Unplaced(step.id, reason))
    return tuple(left)


def _machines(problem: Problem, plan: Plan) -> tuple[MachineUse, ...]:
    uses = [(visit, machine_kinds(problem, visit)) for visit in plan.visits]
    return tuple(MachineUse(visit.crew, visit.day, kinds) for visit, kinds in uses if kinds)
