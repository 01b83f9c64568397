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

from scheduling.planning.findings import Code, Finding, Value, finding
from scheduling.planning.problem import Assignment, Crew, Job, Problem, Step
from scheduling.planning.rules import fault_alone, machines_short

K = TypeVar("K", bound=Hashable)


@dataclass(frozen=True)
class Clash:
    """An entry of `fixed` that cannot be kept, and why."""

    entry: Assignment
    reason: Finding


def plain_clashes(problem: Problem) -> tuple[Clash, ...]:
    """Return the entries of `fixed` that plainly cannot be kept, each once, in file order."""
    found: dict[Assignment, Clash] = {}
    for check in CHECKS:
        for clash in check(problem):
            found.setdefault(clash.entry, clash)
    return tuple(found[entry] for entry in dict.fromkeys(problem.fixed) if entry in found)


def _alone(problem: Problem) -> Iterator[Clash]:
    """A crew that is not able, a day off, a closed day, too little time until the end."""
    for entry in problem.fixed:
        found = fault_alone(problem, entry)
        if found is not None:
            yield Clash(entry, found)
            continue
        step, crew = _step(problem, entry), problem.crew_by_id[entry.crew]
        needed = step.minutes[entry.crew]
        at: dict[str, Value] = {"crew": entry.crew, "day": entry.day}
        if entry in problem.barred:
            yield Clash(entry, finding(Code.CREW_CANNOT_START, step=entry.step, **at))
        elif _most_work(_job(problem, entry), crew, entry.day) < needed:
            yield Clash(entry, finding(Code.TOO_LITTLE_LEFT, minutes=needed, **at))


def _most_work(job: Job, crew: Crew, first: int) -> int:
    """Return the minutes that a crew could at most work at a job from a day on."""
    usual, over = crew.minutes[first:], crew.overtime[first:]
    hours = (minutes + more for minutes, more in zip(usual, over, strict=True) if minutes)
    return sum(max(0, most - job.setup_minutes) for most in hours)


def _twice(problem: Problem) -> Iterator[Clash]:
    """One step fixed to two days or two crews."""
    for first, second in _pairs(problem):
        if first.step == second.step:
            yield Clash(first, finding(Code.FIXED_TWICE, other=second))
            yield Clash(second, finding(Code.FIXED_TWICE, other=first))


def _order(problem: Problem) -> Iterator[Clash]:
    """Two steps of a job in the wrong order, or too near for the lag between them."""
    for first, second in _pairs(problem):
        (job, i), (other, k) = (problem.place_of_step[each.step] for each in (first, second))
        if job.id != other.id or i == k:
            continue
        before, after = (first, second) if i < k else (second, first)
        lag = sum(step.lag_days for step in job.steps[min(i, k) + 1 : max(i, k) + 1])
        if after.day < before.day + lag:
            yield Clash(before, finding(Code.LATER_FIXED, other=after))
            yield Clash(after, _earlier_fixed(before, lag))
        elif after.day == before.day and after.crew != before.crew:
            yield Clash(before, finding(Code.FIXED_SAME_DAY, other=after))
            yield Clash(after, finding(Code.FIXED_SAME_DAY, other=before))


def _earlier_fixed(before: Assignment, lag_days: int) -> Finding:
    if lag_days:
        return finding(Code.EARLIER_FIXED_LAG, other=before, lag_days=lag_days)
    return finding(Code.EARLIER_FIXED, other=before)


def _crew_days(problem: Problem) -> Iterator[Clash]:
    """More fixed to a crew's day than its stops or hours allow."""
    for (name, day), entries in _by(problem.fixed, lambda e: (e.crew, e.day)).items():
        if any(name not in _step(problem, entry).minutes for entry in entries):
            continue
        found = _too_much(problem, problem.crew_by_id[name], day, entries)
        if found is not None:
            yield from (Clash(entry, found) for entry in entries)


def _too_much(problem: Problem, crew: Crew, day: int, entries: list[Assignment]) -> Finding | None:
    at: dict[str, Value] = {"crew": crew.id, "day": day}
    jobs = {_job(problem, entry).id for entry in entries}
    if len(jobs) > problem.max_stops:
        most = problem.max_stops
        return finding(Code.FIXED_TOO_MANY_JOBS, count=len(jobs), most=most, **at)
    needed, most = _least_minutes(problem, entries), crew.minutes[day] + crew.overtime[day]
    if needed <= most or len(entries) < 2:
        return None
    return finding(Code.FIXED_TOO_LONG, minutes=needed, most_minutes=most, **at)


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
    """More crews with a machine of one kind on a day than there are machines."""
    for machine in problem.machines:
        users = [e for e in problem.fixed if _step(problem, e).machine == machine.kind]
        for day, entries in _by(users, lambda entry: entry.day).items():
            crews, available = len({e.crew for e in entries}), machine.available[day]
            if crews > available:
                short = machines_short(machine.kind, day, crews, available)
                yield from (Clash(entry, short) for entry in entries)


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
