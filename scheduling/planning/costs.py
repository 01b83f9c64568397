"""What a plan costs, one function per cost, in cents; knows no rule and no solver."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from scheduling.planning.placing import (
    PlacedStep,
    drive_minutes,
    is_known,
    job_last_day,
    over_minutes,
    placed_steps,
)
from scheduling.planning.plan import Plan, Visit
from scheduling.planning.problem import Assignment, Job, Problem, Step


@dataclass(frozen=True)
class Bill:
    """A plan and its problem, as the cost functions need them."""

    problem: Problem
    visits: tuple[Visit, ...]
    placed: dict[str, PlacedStep]

    def last_days(self) -> Iterator[tuple[Job, int]]:
        """Yield each job with the day on which it ends."""
        for job in self.problem.jobs:
            yield job, job_last_day(self.problem, job, self.placed)


def costs_of(problem: Problem, plan: Plan) -> dict[str, int]:
    """Return every cost of the plan by name, in cents.

    Crew-days with unknown names cost nothing, so that a broken plan can be priced, too.
    """
    visits = tuple(visit for visit in plan.visits if is_known(problem, visit))
    bill = Bill(problem, visits, placed_steps(plan))
    return {name: cost(bill) for name, cost in COSTS.items()}


def expected_loss(step: Step, day: int) -> int:
    """Return the chance of being turned away on `day` times its cost, half to even, in cents."""
    return round(step.risk[day] * step.turned_away)


def lateness(job: Job, last_day: int) -> int:
    """Return the cents for each working day of `last_day` past the promise."""
    return max(0, last_day - job.promised_day) * job.late_cost


def _travel(bill: Bill) -> int:
    minutes = sum(drive_minutes(bill.problem, visit) for visit in bill.visits)
    return minutes * bill.problem.costs.travel_minute


def _overtime(bill: Bill) -> int:
    minutes = sum(over_minutes(bill.problem, visit) for visit in bill.visits)
    return minutes * bill.problem.costs.overtime_minute


def _crew_day(bill: Bill) -> int:
    return len(bill.visits) * bill.problem.costs.crew_day


def _turned_away(bill: Bill) -> int:
    days = len(bill.problem.days)
    steps = [step for job in bill.problem.jobs for step in job.steps if step.id in bill.placed]
    starts = [(step, bill.placed[step.id].first_day) for step in steps]
    return sum(expected_loss(step, day) for step, day in starts if day < days)


def _late(bill: Bill) -> int:
    return sum(lateness(job, day) for job, day in bill.last_days())


def _wait(bill: Bill) -> int:
    return sum(day * job.wait_cost for job, day in bill.last_days())


def _unplaced(bill: Bill) -> int:
    return sum(
        job.unplaced_cost
        for job in bill.problem.jobs
        for step in job.steps
        if step.id not in bill.placed
    )


def _handoff(bill: Bill) -> int:
    count = 0
    for job in bill.problem.jobs:
        crews = [bill.placed[step.id].crew for step in job.steps if step.id in bill.placed]
        count += sum(a != b for a, b in pairwise(crews))
    return count * bill.problem.costs.handoff


def _change_day(bill: Bill) -> int:
    moved = [entry for entry in bill.problem.posted if _day(bill, entry) != entry.day]
    return len(moved) * bill.problem.costs.change_day


def _change_crew(bill: Bill) -> int:
    given = [entry for entry in bill.problem.posted if _crew(bill, entry) != entry.crew]
    return len(given) * bill.problem.costs.change_crew


def _day(bill: Bill, entry: Assignment) -> int | None:
    placed = bill.placed.get(entry.step)
    return None if placed is None else placed.first_day


def _crew(bill: Bill, entry: Assignment) -> str | None:
    placed = bill.placed.get(entry.step)
    return None if placed is None else placed.crew


COSTS: dict[str, Callable[[Bill], int]] = {
    "travel": _travel,
    "overtime": _overtime,
    "crew_day": _crew_day,
    "turned_away": _turned_away,
    "late": _late,
    "wait": _wait,
    "unplaced": _unplaced,
    "handoff": _handoff,
    "change_day": _change_day,
    "change_crew": _change_crew,
}
