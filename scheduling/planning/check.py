"""The judge: whether a plan keeps the rules and what it costs; imports no solver."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from scheduling.planning.costs import costs_of
from scheduling.planning.findings import PlainWords, finding_to_json, worded
from scheduling.planning.plan import Plan
from scheduling.planning.problem import Problem
from scheduling.planning.rules import Violation, violations_of


@dataclass(frozen=True)
class Judgement:
    """What the judge found: the rules broken, each cost by name and their sum, in cents."""

    violations: tuple[Violation, ...]
    costs: dict[str, int]
    total: int

    @property
    def clean(self) -> bool:
        """Tell whether no rule is broken."""
        return not self.violations


def judge(problem: Problem, plan: Plan) -> Judgement:
    """Return the rules that a plan breaks and its costs, all computed anew from both."""
    costs = costs_of(problem, plan)
    return Judgement(tuple(violations_of(problem, plan)), costs, sum(costs.values()))


def objection_text(problem: Problem, broken: Violation) -> str:
    """Return a broken rule in the words of the planner's own commands."""
    return f"rule {broken.rule}: {worded(broken.finding, PlainWords(problem.days))}"


def judgement_to_json(judgement: Judgement, days: Sequence[str]) -> dict[str, Any]:
    """Return the judgement as plain values; `days` are the problem's, by which texts name them."""
    wording = PlainWords(days)
    return {
        "violations": [
            {"rule": broken.rule, "text": worded(broken.finding, wording)}
            | finding_to_json(broken.finding)
            for broken in judgement.violations
        ],
        "costs": judgement.costs,
        "total": judgement.total,
    }
