"""Makes of a small problem one whose first day has begun: shorter, from afar, partly barred."""

from __future__ import annotations

import random
from dataclasses import replace

from scheduling.planning.problem import Assignment, Crew, Problem


def begun(problem: Problem, seed: int) -> Problem:
    """Return the problem with crews out somewhere on day 0, and steps barred for some of them."""
    draw = random.Random(seed)
    barred = [
        Assignment(step.id, crew.id, day)
        for job in problem.jobs
        for step in job.steps
        for crew in problem.crews
        for day in range(len(problem.days))
        if draw.random() < (0.3 if day == 0 else 0.05)
    ]
    fixed = {(entry.step, entry.crew, entry.day) for entry in problem.fixed}
    return replace(
        problem,
        crews=tuple(_out(draw, problem, crew) for crew in problem.crews),
        barred=tuple(e for e in barred if (e.step, e.crew, e.day) not in fixed),
    )


def _out(draw: random.Random, problem: Problem, crew: Crew) -> Crew:
    left = crew.minutes[0] * draw.choice([2, 3, 4]) // 4
    start = draw.choice(problem.places)
    rest = (crew.home,) * (len(problem.days) - 1)
    return replace(crew, minutes=(left, *crew.minutes[1:]), starts=(start, *rest))
