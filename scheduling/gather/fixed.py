"""Which steps are fixed: begun ones, and those whose end lies after the days planned."""

from collections.abc import Iterable, Sequence

from scheduling.gather.cases import JobCase, StepCase
from scheduling.planning.edit.feasible import feasible_part
from scheduling.planning.edit.move import steps_put
from scheduling.planning.placing import placed_steps
from scheduling.planning.plan import Plan
from scheduling.planning.problem import Assignment, Problem


def fixed_of(problem: Problem, cases: Sequence[JobCase], plan: Plan) -> tuple[Assignment, ...]:
    """Return the steps that are fixed, such that all of them can be kept at once.

    A begun step goes on whether the plan holds it or not; of two that clash the later one is
    free. A step that goes on after these days is fixed as long as the plan holds it cleanly,
    and every begun one beside it.
    """
    entries = [entry for case in cases for entry in case.steps if entry.fixed]
    if not entries:
        return ()
    begun = _feasible(problem, (entry.fixed for entry in entries if entry.is_begun))
    standing, _ = feasible_part(problem, plan)
    if missing_fixed(standing, begun):
        return begun
    going_on = _assignments(entry for entry in entries if not entry.is_begun)
    return (*begun, *(entry for entry in going_on if not missing_fixed(standing, [entry])))


def missing_fixed(plan: Plan, fixed: Iterable[Assignment]) -> list[Assignment]:
    """Return the fixed steps that a plan does not start where they are fixed."""
    placed = placed_steps(plan)
    return [
        entry
        for entry in fixed
        if entry.step not in placed
        or (placed[entry.step].crew, placed[entry.step].first_day) != (entry.crew, entry.day)
    ]


def _assignments(entries: Iterable[StepCase]) -> list[Assignment]:
    return [entry.fixed for entry in entries if entry.fixed]


def _feasible(problem: Problem, entries: Iterable[Assignment | None]) -> tuple[Assignment, ...]:
    kept: list[Assignment] = []
    plan = Plan()
    for entry in entries:
        if entry is not None:
            change = steps_put(problem, plan, [entry.step], entry.crew, entry.day)
            if change.is_clean:
                kept.append(entry)
                plan = change.plan
    return tuple(kept)
