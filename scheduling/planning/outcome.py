"""Turns the end of a solve into its outcome, with reasons; knows no strategy."""

from __future__ import annotations

from collections.abc import Sequence

from scheduling.planning.findings import Code, finding
from scheduling.planning.locks.clash import Clash
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
from scheduling.planning.session import Session


def outcome_of(session: Session) -> Outcome:
    """Return what a solve found: plan, cost, bound, costs by name, what is left out and why."""
    plan, judgement = session.plan, session.verdict
    return Outcome(
        status=_status(session),
        cost=session.cost,
        bound=min(session.bound, session.cost),
        seconds=session.seconds,
        plan=plan,
        costs=judgement.costs,
        unplaced=_unplaced(session.problem, plan),
        machines=_machines(session.problem, plan),
    )


def infeasible(session: Session, clashes: Sequence[Clash]) -> Outcome:
    """Return the outcome of a problem whose `fixed` entries clash, all of them by name.

    Without clashes the search for them was cut short: what the best plan does not keep is named.
    """
    wanted = {entry.step: entry for entry in session.problem.fixed}
    found = clashes or [
        Clash(
            wanted[broken.finding.value("step")],
            finding(Code.NOT_FOUND_IN_TIME, because=broken.finding),
        )
        for broken in session.verdict.violations
    ]
    named = tuple(Unplaced(c.entry.step, c.reason, c.entry.crew, c.entry.day) for c in found)
    return Outcome(INFEASIBLE, None, session.bound, session.seconds, None, unplaced=named)


def _status(session: Session) -> str:
    if session.proven:
        return PROVEN
    return STOPPED if session.stopped else FEASIBLE


def _unplaced(problem: Problem, plan: Plan) -> tuple[Unplaced, ...]:
    placed = placed_steps(plan)
    left = []
    for job in problem.jobs:
        missing = [step for step in job.steps if step.id not in placed]
        for step in missing:
            if not step.minutes:
                reason = finding(Code.NOBODY_ABLE, step=step.id)
            elif step is missing[0]:
                reason = finding(Code.DEARER_THAN_LEAVING, step=step.id)
            else:
                reason = finding(Code.BEFORE_LEFT_OUT, before=missing[0].id)
            left.append(Unplaced(step.id, reason))
    return tuple(left)


def _machines(problem: Problem, plan: Plan) -> tuple[MachineUse, ...]:
    uses = [(visit, machine_kinds(problem, visit)) for visit in plan.visits]
    return tuple(MachineUse(visit.crew, visit.day, kinds) for visit, kinds in uses if kinds)
