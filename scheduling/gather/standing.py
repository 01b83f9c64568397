"""What of the weeks' plan still stands under today's facts; decides nothing new."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from django.utils.translation import gettext

from scheduling.gather.fixed import missing_fixed
from scheduling.gather.gathered import Gathered
from scheduling.planning.check import judge
from scheduling.planning.edit.move import steps_put
from scheduling.planning.edit.standing import Dropped, standing_part
from scheduling.planning.placing import placed_steps
from scheduling.planning.plan import Plan
from scheduling.planning.problem import Assignment, Problem


@dataclass(frozen=True)
class FeasiblePart:
    """A plan that the judge finds clean, and in words what fell out of it or was put back."""

    plan: Plan
    notes: tuple[str, ...]


def plan_standing(gathered: Gathered) -> FeasiblePart:
    """Return the clean part of the effective plan, with every fixed step in it.

    What facts have overtaken falls out, later steps of the same job with it. A begun step that
    no draft holds any more is put back where it is fixed, and what is in its way falls out.
    """
    problem = gathered.problem
    free = replace(problem, fixed=())
    plan, dropped = standing_part(free, gathered.plan)
    missing = missing_fixed(plan, problem.fixed)
    notes = [_fell_out(gathered, entry) for entry in dropped]
    if missing:
        plan = _with_fixed(problem, plan, missing)
        notes += [_put_back(gathered, entry) for entry in missing]
    return FeasiblePart(plan, tuple(dict.fromkeys(notes)))


def without_begun(gathered: Gathered, plan: Plan) -> Plan:
    """Return a plan for the rest of a day without what its own crews have begun by now."""
    rest = gathered.rest
    if rest is None:
        return plan
    visits = [
        replace(visit, stops=tuple(s for s in visit.stops if not rest.is_begun(visit.crew, s.job)))
        if gathered.days[visit.day] == rest.day
        else visit
        for visit in plan.visits
    ]
    return Plan(tuple(visit for visit in visits if visit.stops))


def _fell_out(gathered: Gathered, entry: Dropped) -> str:
    names = gathered.names
    words = {"step": names.named(entry.step), "reason": names.sentence(entry.reason)}
    return gettext("%(step)s fell out: %(reason)s") % words


def _put_back(gathered: Gathered, entry: Assignment) -> str:
    words = {"step": gathered.names.named(entry.step)}
    return gettext("%(step)s has begun and was put back") % words


def _with_fixed(problem: Problem, plan: Plan, missing: Sequence[Assignment]) -> Plan:
    """Put the missing fixed steps in; where that clashes, they go first and the rest must fit."""
    added = _put(problem, plan, missing)
    if judge(problem, added).clean:
        return added
    alone = _put(problem, Plan(), problem.fixed)
    taken = {(visit.crew, visit.day) for visit in alone.visits}
    held = set(placed_steps(alone))
    rest = [visit for visit in plan.visits if (visit.crew, visit.day) not in taken]
    rest = [v for v in rest if not held & {part.step for stop in v.stops for part in stop.parts}]
    merged, _ = standing_part(problem, Plan((*alone.visits, *rest)))
    return merged if judge(problem, merged).clean else alone


def _put(problem: Problem, plan: Plan, entries: Iterable[Assignment]) -> Plan:
    for entry in entries:
        plan = steps_put(problem, plan, [entry.step], entry.crew, entry.day).plan
    return plan
