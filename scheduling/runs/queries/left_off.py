"""What a planning run left off, and why, in the office's words; changes nothing."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext

from contractor.models import Crew
from jobs.conditions.words import STEP_NAMES
from jobs.models import Job
from jobs.plan_ids import crew_plan_id, step_pk
from jobs.readiness.queries.outlook import JobOutlook, StepOutlook, jobs_outlook
from scheduling.gather.holdups import step_held
from scheduling.gather.names import Names
from scheduling.models import PlanningRun
from scheduling.planning.placing import machine_kinds, placed_steps, used_minutes
from scheduling.planning.plan import Plan, Stop, Visit, parse_plan
from scheduling.planning.problem import Assignment, Problem, Step, parse_problem
from scheduling.planning.problem import Crew as PlannerCrew


def run_left_off(*, run: PlanningRun) -> tuple[str, ...]:
    """Return a sentence for each step that the run's plan leaves off: which, where and why.

    Five queries, none where the plan holds every step.
    """
    unplaced = _unplaced(run)
    if not unplaced:
        return ()
    outlooks = _outlooks([entry["step"] for entry in unplaced])
    names = _names(run, outlooks)
    outcome = run.outcome or {}
    plan = parse_plan(outcome["plan"]) if outcome.get("plan") else None
    case = _case(run, plan, names, outlooks) if plan else None
    return tuple(_sentence(entry, case, names) for entry in unplaced)


def _unplaced(run: PlanningRun) -> list[dict[str, Any]]:
    """Return what the plan leaves off; of a plan for the rest of a day only what was posted."""
    unplaced: list[dict[str, Any]] = (run.outcome or {}).get("unplaced", [])
    if run.rest_from is None:
        return unplaced
    posted = {entry["step"] for entry in run.problem["posted"]}
    return [entry for entry in unplaced if entry["step"] in posted]


def _sentence(entry: dict[str, Any], case: "_Case | None", names: Names) -> str:
    """Say why; a step that clashes with another, or of an unknown problem, keeps the planner's."""
    step = entry["step"]
    is_free = case is not None and "crew" not in entry and step in case.problem.place_of_step
    reason = case.reason(step) if case and is_free else entry["reason"]
    return names.say(f"{step}: {reason}")


@dataclass(frozen=True)
class _Case:
    """A run's problem and plan, with how far the jobs are by now of which steps were left off."""

    problem: Problem
    plan: Plan
    names: Names
    outlooks: dict[str, tuple[JobOutlook, StepOutlook]]
    is_rest: bool = False

    def reason(self, step_id: str) -> str:
        """Tell why a step finds no day, the reasons that bind hardest first."""
        job, position = self.problem.place_of_step[step_id]
        step, placed = job.steps[position], placed_steps(self.plan)
        if not step.minutes:
            return gettext("no crew has the skill")
        if all(risk >= 1 for risk in step.risk):
            return self._held(step_id)
        before = job.steps[position - 1] if position else None
        if before is None:
            return self._no_room(step, 0)
        if before.id not in placed:
            return gettext("%(step)s is left off, too") % {"step": self._kind(before)}
        return self._after(step, before, placed[before.id].last_day + step.lag_days)

    def _after(self, step: Step, before: Step, first: int) -> str:
        if first >= len(self.problem.days):
            text = gettext("the time that it waits after %(step)s ends after the last day")
            return text % {"step": self._kind(before)}
        if all(risk >= 1 for risk in step.risk[first:]):
            text = gettext("the days on which it could start are gone once %(step)s is done")
            return text % {"step": self._kind(before)}
        return self._no_room(step, first)

    def _held(self, step_id: str) -> str:
        found = self.outlooks.get(step_id)
        last_day = date.fromisoformat(self.problem.days[-1])
        held = step_held(*found, last_day) if found else ""
        if self.is_rest and not held:
            return gettext("what a crew found missing there is neither promised nor seen since")
        return held or gettext("the house is not ready on any of these days")

    def _no_room(self, step: Step, first: int) -> str:
        able = [crew for crew in self.problem.crews if crew.id in step.minutes]
        days = [day for day in range(first, len(self.problem.days)) if step.risk[day] < 1]
        fitting = [day for day in days if any(self._fits(step, crew, day) for crew in able)]
        if not fitting:
            return gettext("no room in these weeks: every crew that can do it is full")
        if not any(self._has_machine(step, day) for day in fitting):
            text = gettext("no room in these weeks: no %(kind)s is free when a crew is")
            return text % {"kind": gettext(step.machine or "")}
        return gettext("going there in these weeks would cost more than leaving it for later")

    def _fits(self, step: Step, crew: PlannerCrew, day: int) -> bool:
        """Tell whether it fits what is left of a crew's day with drive; long steps need days."""
        job, _ = self.problem.place_of_step[step.id]
        visit = self._visit(crew.id, day)
        if not crew.minutes[day] or len(visit.stops) >= self.problem.max_stops:
            return False
        if Assignment(step.id, crew.id, day) in self.problem.barred:
            return False
        more = Visit(crew.id, day, (*visit.stops, Stop(job.id, ())))
        most = crew.minutes[day] + crew.overtime[day]
        return used_minutes(self.problem, more) + self._least(step, crew, day) <= most

    def _least(self, step: Step, crew: PlannerCrew, day: int) -> int:
        """Return minutes that must be free on a day: all of it, a long step's shortest part."""
        whole = step.minutes[crew.id]
        return self.problem.min_part_minutes if whole > crew.minutes[day] else whole

    def _visit(self, crew: str, day: int) -> Visit:
        found = (visit for visit in self.plan.visits if (visit.crew, visit.day) == (crew, day))
        return next(found, Visit(crew, day, ()))

    def _has_machine(self, step: Step, day: int) -> bool:
        there = [m.available[day] for m in self.problem.machines if m.kind == step.machine]
        visits = [visit for visit in self.plan.visits if visit.day == day]
        using = [v for v in visits if step.machine in machine_kinds(self.problem, v)]
        return step.machine is None or len(using) < sum(there)

    def _kind(self, step: Step) -> str:
        return gettext(STEP_NAMES[step.kind])


def _case(
    run: PlanningRun, plan: Plan, names: Names, outlooks: dict[str, tuple[JobOutlook, StepOutlook]]
) -> _Case:
    return _Case(parse_problem(run.problem), plan, names, outlooks, run.rest_from is not None)


def _outlooks(planner_ids: Sequence[str]) -> dict[str, tuple[JobOutlook, StepOutlook]]:
    steps = [step_pk(name) for name in planner_ids]
    found = jobs_outlook(Job.objects.filter(steps__in=steps).distinct(), ())
    return {entry.step.plan_id: (job, entry) for job in found for entry in job.steps}


def _names(run: PlanningRun, outlooks: dict[str, tuple[JobOutlook, StepOutlook]]) -> Names:
    words = {crew_plan_id(crew.pk): crew.name for crew in Crew.objects.filter(branch=run.branch)}
    for step, (outlook, entry) in outlooks.items():
        words[step] = f"{STEP_NAMES[entry.step.kind]} at {outlook.job}"
        words[outlook.job.plan_id] = str(outlook.job)
    return Names(words)
