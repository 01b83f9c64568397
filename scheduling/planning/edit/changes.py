"""What changed from what was posted, with the reason and what it saves; no solver."""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.planning.check import judge
from scheduling.planning.costs import costs_of
from scheduling.planning.edit.standing import without_steps
from scheduling.planning.findings import Code, Finding, PlainWords, finding, worded
from scheduling.planning.placing import placed_steps
from scheduling.planning.plan import Plan
from scheduling.planning.problem import Assignment, Problem
from scheduling.planning.rules import fault_alone


@dataclass(frozen=True)
class PlanChange:
    """A posted step that is no longer where it was: from, to (None: left out), and why."""

    step: str
    before: Assignment
    after: Assignment | None
    reason: Finding

    def sentence(self, problem: Problem) -> str:
        """Return the change in words, such as `A/2: 2027-03-01 ash → 2027-03-02 ash, because …`."""
        old = f"{problem.days[self.before.day]} {self.before.crew}"
        new = "left out"
        if self.after is not None:
            new = f"{problem.days[self.after.day]} {self.after.crew}"
        reason = worded(self.reason, PlainWords(problem.days))
        return f"{self.step}: {old} → {new}, because {reason}"


def changes_of(problem: Problem, plan: Plan, posted: Plan | None = None) -> list[PlanChange]:
    """Return what a plan changes of the problem's posted steps, in the order of the jobs.

    The reason is a rule where the posted place no longer stands; else which costs are lower
    than those of `posted`, the plan that was posted, and by how many dollars in all.
    """
    placed = placed_steps(plan)
    changes = []
    for entry in problem.posted:
        found = placed.get(entry.step)
        after = Assignment(entry.step, found.crew, found.first_day) if found else None
        if after != entry:
            changes.append(
                PlanChange(entry.step, entry, after, _reason(problem, plan, posted, entry))
            )
    order = problem.place_of_step
    return sorted(changes, key=lambda change: (order[change.step][0].id, order[change.step][1]))


def _reason(problem: Problem, plan: Plan, posted: Plan | None, entry: Assignment) -> Finding:
    alone = fault_alone(problem, entry)
    if alone is not None:
        return alone
    if posted is None:
        return finding(Code.CHEAPER_AS_A_WHOLE)
    return _broken(problem, posted, entry.step) or _saving(problem, plan, posted)


def _broken(problem: Problem, posted: Plan, step: str) -> Finding | None:
    """Return the judge's objection to the step's posted place, None where there is none."""
    known = {part.step for _, _, part in posted.parts()} - set(problem.place_of_step)
    found = judge(problem, without_steps(posted, known)).violations
    return next((each.finding for each in found if step in each.steps), None)


def _saving(problem: Problem, plan: Plan, posted: Plan) -> Finding:
    old, new = costs_of(problem, posted), costs_of(problem, plan)
    saved = {name: old[name] - new[name] for name in old if old[name] > new[name]}
    if not saved:
        return finding(Code.OTHER_CHANGES)
    main = max(saved, key=lambda name: saved[name])
    cents = sum(old.values()) - sum(new.values())
    if cents > 0:
        return finding(Code.SAVES_CENTS, cost=main, cents=cents)
    return finding(Code.SAVES, cost=main)
