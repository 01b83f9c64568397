"""Which entries of `fixed` cannot be kept, as far as adding up shows it; knows no solver.

Every check names all sides of a clash and fires only where no plan at all keeps them. What
needs a search, `keeping.py` finds.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import TypeVar

from scheduling.planning.problem import Assignment, Crew, Job, Problem, Step

K = TypeVar("K", bound=Hashable)


@dataclass(frozen=True)
class Clash:
    """An entry of `fixed` that cannot be kept, and why, in words."""

    entry: Assignment
    reason: str


def plain_clashes(problem: Problem) -> tuple[Clash, ...]:
    """Return the entries of `fixed` that plainly cannot be kept, each once, in file order."""
    found: dict[Assignment, Clash] = {}
    for check in CHECKS:
        for clash in check(problem):
            found.setdefault(clash.entry, clash)
    return tuple(found[entry] for entry in dict.fromkeys(problem.fixed) if entry in found)


def entry_text(problem: Problem, entry: Assignment) -> str:
    """Return an entry in words: its step, crew and date."""
    return f"{entry.step} with {entry.crew} on {problem.days[entry.day]}"


def _alone(problem: Problem) -> Iterator[Clash]:
    """Yield a crew that is not able, a day off, a closed day, too little time until the end."""
    for entry in problem.fixed:
        step, crew = _step(problem, entry), problem.crew_by_id[entry.crew]
        day = problem.days[entry.day]
        if entry.crew not in step.minutes:
            yield Clash(entry, f"{entry.crew} is not able to do {entry.step}")
        elif crew.minutes[entry.day] == 0:
            yield Clash(entry, f"{entry.crew} is off on {day}")
        elif step.risk[entry.day] >= 1:
            yield Clash(entry, f"{entry.step} cannot start on {day}")
        elif entry in problem.barred:
            yield Clash(entry, f"{entry.crew} cannot start {entry.step} on {day}")
        elif _most_work(_job(problem, entry), crew, entry.day) < step.minutes[entry.crew]:
            needed = step.minutes[entry.crew]
            yield Clash(entry, f"{entry.crew} has less than {needed} minutes left from {day} on")


def _most_work(job: Job, crew: Crew, first: int) -> int:
    """Return the minutes that a crew could at most work at a job from a day on."""
    usual, over = crew.minutes[first:], crew.overtime[first:]
    hours = (minutes + more for minutes, more in zip(usual, over, strict=True) if minutes)
    return sum(max(0, most - job.setup_minutes) for most in hours)


def _twice(problem: Problem) -> Iterator[Clash]:
    """Yield one step fixed to two days or two crews."""
    for first, second in _pairs(problem):
        if first.step == second.step:
            yield Clash(first, f"{entry_text(problem, second)} is fixed as well")
            yield Clash(second, f"{entry_text(problem, first)} is fixed as well")


def _order(problem: Problem) -> Iterator[Clash]:
    """Yield two steps of a job in the wrong order, or too near for the lag between them."""
    for first, second in _pairs(problem):
        (job, i), (other, k) = (problem.place_of_step[each.step] for each in (first, second))
        if job.id != other.id or i == k:
            continue
        before, after = (first, second) if i < k else (second, first)
        lag = sum(step.lag_days for step in job.steps[min(i, k) + 1 : max(i, k) + 1])
        if after.day < before.day + lag:
            days = f", {lag} day{'s' * (lag > 1)} before it at the latest" if lag else ""
            yield Clash(before, f"{entry_text(problem, after)}, which comes after it, is fixed too")
            yield Clash(
                after, f"{entry_text(problem, before)}, which comes before it, is fixed too{days}"
            )
        elif after.day == before.day and after.crew != before.crew:
            text = "is fixed too, and two crews cannot be at one job on a day"
            yield Clash(before, f"{entry_text(problem, after)} {text}")
            yield Clash(after, f"{entry_text(problem, before)} {text}")


def _crew_days(problem: Problem) -> Iterator[Clash]:
    """Yield more fixed to a crew's day than its stops or hours allow."""
    for (name, day), entries in _by(problem.fixed, lambda e: (e.crew, e.day)).items():
        crew, jobs = problem.crew_by_id[name], {_job(problem, e).id for e in entries}
        if any(name not in _step(problem, entry).minutes for entry in entries):
            continue
        if len(jobs) > problem.max_stops:
            text = f"{len(jobs)} jobs, {problem.max_stops} at most"
        else:
            needed, most = _least_minutes(problem, entries), crew.minutes[day] + crew.overtime[day]
            if needed <= most or len(entries) < 2:
                continue
            text = f"{needed} minutes at least, {most} at most"
        for entry in entries:
            yield Clash(entry, f"what is fixed to {name} on {problem.days[day]} takes {text}")


def _least_minutes(problem: Problem, entries: list[Assignment]) -> int:
    """Return what the steps that start on one crew-day take of it at least.

    Whatever another step follows on that day is done whole; of the last step of one job, no
    more, all but the least part may go to other days, since those are given to it alone.
    """
    work, savings = 0, []
    for found in _by(entries, lambda entry: _job(problem, entry).id).values():
        steps = sorted({e.step: e for e in found}.values(), key=lambda e: _position(problem, e))
        minutes = [_step(problem, entry).minutes[entry.crew] for entry in steps]
        work += sum(minutes) + _job(problem, steps[0]).setup_minutes
        savings.append(max(0, minutes[-1] - problem.min_part_minutes))
    return work - max(savings)


def _machines(problem: Problem) -> Iterator[Clash]:
    """Yield more crews with a machine of one kind on a day than there are machines."""
    for machine in problem.machines:
        users = [e for e in problem.fixed if _step(problem, e).machine == machine.kind]
        for day, entries in _by(users, lambda entry: entry.day).items():
            crews, available = len({e.crew for e in entries}), machine.available[day]
            if crews > available:
                verb, there = ("crews need" if crews > 1 else "crew needs"), _there_are(available)
                text = f"{crews} {verb} a {machine.kind} on {problem.days[day]}, {there}"
                yield from (Clash(entry, text) for entry in entries)


def _there_are(count: int) -> str:
    return {0: "there is none", 1: "there is one"}.get(count, f"there are {count}")


CHECKS: tuple[Callable[[Problem], Iterator[Clash]], ...] = (
    _alone,
    _twice,
    _order,
    _crew_days,
    _machines,
)


def _pairs(problem: Problem) -> Iterator[tuple[Assignment, Assignment]]:
    return combinations(dict.fromkeys(problem.fixed), 2)


def _by(entries: Iterable[Assignment], key: Callable[[Assignment], K]) -> dict[K, list[Assignment]]:
    found: defaultdict[K, list[Assignment]] = defaultdict(list)
    for entry in dict.fromkeys(entries):
        found[key(entry)].append(entry)
    return found


def _position(problem: Problem, entry: Assignment) -> int:
    return problem.place_of_step[entry.step][1]


def _job(problem: Problem, entry: Assignment) -> Job:
    return problem.place_of_step[entry.step][0]


def _step(problem: Problem, entry: Assignment) -> Step:
    job, position = problem.place_of_step[entry.step]
    return job.steps[position]
