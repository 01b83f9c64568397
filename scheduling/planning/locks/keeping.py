"""Whether every entry of `fixed` can be kept: a plan that does, or the entries that clash.

Adds up first (`clash.py`), then searches (`lockmodel.py`); knows nothing of costs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from scheduling.planning.findings import Code, Finding, Value, finding
from scheduling.planning.locks.clash import Clash, plain_clashes
from scheduling.planning.locks.lockmodel import Unsure, place_locks
from scheduling.planning.plan import Plan
from scheduling.planning.problem import Assignment, Problem

Entries = Sequence[Assignment]


@dataclass(frozen=True)
class Locks:
    """A plan that keeps every entry of `fixed`, or the entries that clash.

    With neither the search was over before it knew.
    """

    plan: Plan | None
    clashes: tuple[Clash, ...] = ()


def keep_locks(problem: Problem, is_over: Callable[[], bool]) -> Locks:
    """Return a plan of the jobs with something fixed, or every entry that is found to clash.

    `is_over` is asked ten times a second whether to give up.
    """
    found = {clash.entry: clash for clash in plain_clashes(problem)}
    left = [entry for entry in dict.fromkeys(problem.fixed) if entry not in found]
    try:
        plan = place_locks(problem, left, is_over)
        while plan is None:
            core = _shrunk(problem, left, is_over)
            for clash in _in_words(problem, core, is_over):
                found.setdefault(clash.entry, clash)
            left.remove(core[-1])
            plan = place_locks(problem, left, is_over)
    except Unsure:
        plan = None
    order = [found[entry] for entry in dict.fromkeys(problem.fixed) if entry in found]
    return Locks(None, tuple(order)) if order else Locks(plan)


def _shrunk(problem: Problem, entries: Entries, is_over: Callable[[], bool]) -> list[Assignment]:
    """Return a smallest part of entries that clash: without any of it the rest can be kept.

    Large shares are left out first, so that few of many entries are soon found.
    """
    core, share = list(entries), max(1, len(entries) // 2)
    while share:
        at = 0
        while at < len(core):
            others = core[:at] + core[at + share :]
            if place_locks(problem, others, is_over) is None:
                core = others
            else:
                at += share
        share //= 2
    return core


def _in_words(problem: Problem, core: Entries, is_over: Callable[[], bool]) -> Iterator[Clash]:
    """Say of each entry of a smallest clash why it cannot be kept."""
    if len(core) == 1:
        yield Clash(core[0], _alone(problem, core[0], is_over))
        return
    days = {(entry.crew, entry.day) for entry in core}
    for entry in core:
        others = tuple(other for other in core if other != entry)
        if len(days) == 1:
            at: dict[str, Value] = {"crew": entry.crew, "day": entry.day}
            yield Clash(entry, finding(Code.NO_HOURS_BESIDE, others=others, **at))
        else:
            yield Clash(entry, finding(Code.NOT_TOGETHER, others=others))


def _alone(problem: Problem, entry: Assignment, is_over: Callable[[], bool]) -> Finding:
    """Say why one entry alone cannot be kept: what comes before it, or its own length."""
    job, position = problem.place_of_step[entry.step]
    shorter = replace(job, steps=job.steps[position:])
    jobs = tuple(shorter if each is job else each for each in problem.jobs)
    if place_locks(replace(problem, jobs=jobs), [entry], is_over) is not None:
        before = tuple(step.id for step in job.steps[:position])
        return finding(Code.BEFORE_TOO_LATE, steps=before, day=entry.day)
    minutes = job.steps[position].minutes[entry.crew]
    return finding(Code.DAYS_TOO_SHORT, minutes=minutes, crew=entry.crew, day=entry.day)
