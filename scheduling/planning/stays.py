"""All ways to divide steps over several days of one kind of crew; knows no search and no plan.

The rule: every day of a divided step but its last, or but its first, holds that one stop and
fills the crew's day; one of them may fall short where the rest is exactly the least part.
Here one day of a stay, the rest, may be shared, or two days, the rests of different steps;
all its other days are whole. A job of three steps or fewer cannot have three.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate, product

from scheduling.planning.model import NEVER, Model, Stay

Parts = tuple[tuple[tuple[int, int], ...], ...]


@dataclass(frozen=True)
class Work:
    """The steps of a stay: `lengths` in minutes, the first of them step `first` of its job."""

    first: int
    lengths: tuple[int, ...]

    @property
    def total(self) -> int:
        """The minutes of all steps."""
        return sum(self.lengths)

    def cut(self, amounts: Sequence[int]) -> Parts:
        """Return the (step, minutes) of each day when it does so many minutes."""
        days: list[tuple[tuple[int, int], ...]] = []
        step, left = 0, self.lengths[0]
        for amount in amounts:
            day: list[tuple[int, int]] = []
            missing = amount
            while missing > 0:
                minutes = min(missing, left)
                day.append((self.first + step, minutes))
                missing, left = missing - minutes, left - minutes
                if left == 0 and step + 1 < len(self.lengths):
                    step, left = step + 1, self.lengths[step + 1]
            days.append(tuple(day))
        return tuple(days)


def stays_of(model: Model, j: int) -> list[Stay]:
    """Return every stay with one day to share at job `j`, by every kind, from every day."""
    return [
        stay
        for kind in range(len(model.crews))
        for work in works(model, j, kind)
        for start in range(len(model.working_days[kind]) - 1)
        for stay in _from_day(model, j, kind, work, start)
    ]


def works(model: Model, j: int, kind: int) -> Iterator[Work]:
    """Yield the runs of steps that one kind of crew could do without a lag between them."""
    steps = model.problem.jobs[j].steps
    for first in range(len(steps)):
        lengths: list[int] = []
        for i in range(first, len(steps)):
            minutes = int(model.minutes[j][i][kind])
            if minutes == 0 or (i > first and steps[i].lag_days > 0):
                break
            lengths.append(minutes)
            yield Work(first, tuple(lengths))


def _from_day(model: Model, j: int, kind: int, work: Work, start: int) -> Iterator[Stay]:
    """Yield the stays whose first day is the kind's working day number `start`."""
    days = model.working_days[kind][start:]
    outside = model.problem.jobs[j].setup_minutes + int(model.round_trip(j)[kind])
    whole = [int(model.usual[kind, day]) - outside for day in days]
    for count in range(2, len(days) + 1):
        if sum(sorted(whole[:count])[: count - 1]) >= work.total:
            return
        for rest in range(count):
            least = model.problem.min_part_minutes
            for amounts in divisions(work, whole[:count], {rest: None}, least):
                when = (days[:count], (rest,))
                stay = stay_with(model, (j, kind), work, when, amounts)
                if stay is not None:
                    yield stay


def divisions(
    work: Work, whole: Sequence[int], rests: Mapping[int, int | None], least: int
) -> Iterator[tuple[int, ...]]:
    """Yield the minutes by day of each allowed division with these rests.

    `whole` are the minutes that fill each day, `rests` by position the minutes of the days
    that may be shared, None for the one that takes what is left; `least` is the smallest part
    of a divided step.
    """
    amounts = [rests.get(x, full) for x, full in enumerate(whole)]
    left = work.total - sum(minutes for minutes in amounts if minutes is not None)
    tried = [left if minutes is None else minutes for minutes in amounts]
    if min(tried) < 1:
        return
    for shorter in _shortened(work, tried, rests, least):
        if _is_allowed(work, shorter, whole, rests, least):
            yield shorter


def _shortened(
    work: Work, amounts: Sequence[int], rests: Collection[int], least: int
) -> Iterator[tuple[int, ...]]:
    """Yield the amounts as they are, or with days that fall short for too small a rest."""
    parts = work.cut(amounts)
    choices: list[list[tuple[int, int, int]]] = []
    for rest in rests:
        for step, minutes in parts[rest]:
            others = [d for d, day in enumerate(parts) if d not in rests and step in dict(day)]
            if others and minutes < least:
                choices.append([(rest, d, least - minutes) for d in others])
    for chosen in product(*choices):
        changed = list(amounts)
        for rest, day, missing in chosen:
            changed[day] -= missing
            changed[rest] += missing
        yield tuple(changed)


def _is_allowed(
    work: Work, amounts: Sequence[int], whole: Sequence[int], rests: Collection[int], least: int
) -> bool:
    """Tell whether every cut lies inside a step and every divided step keeps the rule."""
    if min(amounts) < 1 or not _cuts_divide(work, amounts):
        return False
    missing = [full - amount for full, amount in zip(whole, amounts, strict=True)]
    days_of: dict[int, dict[int, int]] = {}
    for day, parts in enumerate(work.cut(amounts)):
        for step, minutes in parts:
            days_of.setdefault(step, {})[day] = minutes
    divided = [parts for parts in days_of.values() if len(parts) > 1]
    return all(_keeps_rule(parts, missing, rests, least) for parts in divided)


def _cuts_divide(work: Work, amounts: Sequence[int]) -> bool:
    ends = set(accumulate(work.lengths))
    return all(cut not in ends for cut in list(accumulate(amounts))[:-1])


def _keeps_rule(
    parts: dict[int, int], missing: Sequence[int], rests: Collection[int], least: int
) -> bool:
    if min(parts.values()) < least:
        return False
    for shared in (min(parts), max(parts)):
        others = [day for day in parts if day != shared]
        short = [missing[day] for day in others if missing[day] != 0]
        fits = not short or (len(short) == 1 and 0 < short[0] < least and parts[shared] == least)
        if fits and not any(rest in others for rest in rests):
            return True
    return False


def stay_with(
    model: Model,
    doer: tuple[int, int],
    work: Work,
    when: tuple[Sequence[int], tuple[int, ...]],
    amounts: Sequence[int],
) -> Stay | None:
    """Return the stay, None where a step must not start on its day or a rest is too long."""
    (j, kind), (days, rests) = doer, when
    job = model.problem.jobs[j]
    most = [int(model.most[kind, days[rest]]) - job.setup_minutes for rest in rests]
    if any(amounts[rest] > room for rest, room in zip(rests, most, strict=True)):
        return None
    parts = work.cut(amounts)
    cost, until = 0, work.first + len(work.lengths)
    for i in range(work.first, until):
        start = next(d for d, day in enumerate(parts) if i in dict(day))
        cost += int(model.step_cost[j][i][kind, days[start]])
    if cost >= NEVER:
        return None
    if until == len(job.steps):
        cost += model.end_cost(j, days[-1])
    machines = tuple(_machines(model, j, day) for day in parts)
    return Stay(j, work.first, until, kind, tuple(days), parts, rests, cost, machines)


def _machines(model: Model, j: int, parts: Sequence[tuple[int, int]]) -> int:
    steps = model.problem.jobs[j].steps
    mask = 0
    for i, _ in parts:
        mask |= model.machine_bit.get(steps[i].machine or "", 0)
    return mask
