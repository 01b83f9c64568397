"""Turns the end of a solve into its outcome, with reasons in words; knows no strategy."""

from __future__ import annotations

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
    if judgement.violations:
        return _infeasible(session)
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
