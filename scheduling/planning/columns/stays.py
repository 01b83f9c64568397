"""All ways to divide steps over several days of one kind of crew; knows no search and no plan.

The rule: every day of a divided step but its last, or but its first, holds that one stop and
fills the crew's day; one of them may fall short where the rest is exactly the least part.
Here one day of a stay, the rest, may be shared, or two days, the rests of different steps;
all its other days are whole. A job of three steps or fewer cannot have three.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate, product

from scheduling.planning.columns.model import NEVER, Model, Stay

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
    return [stay for kind in range(len(model.crews)) for stay in _by_kind(model, j, kind)]


def whole_minutes(model: Model, j: int, kind: int) -> list[int]:
    """Return the minutes of work that fill each of the kind's working days at a job."""
    outside = model.problem.jobs[j].setup_minutes + model.round_trip(j)[kind]
    filled: list[int] = (model.usual[kind] - outside)[model.working_days[kind]].tolist()
    return filled


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


def _by_kind(model: Model, j: int, kind: int) -> Iterator[Stay]:
    """Yield the stays of one kind of crew at a job."""
    days, whole = model.working_days[kind], whole_minutes(model, j, kind)
    room = (model.most[kind, days] - model.problem.jobs[j].setup_minutes).tolist()
    for work in works(model, j, kind):
        for start, end in _spells(work, whole, model.problem.min_part_minutes):
            here = tuple(whole[start:end])
            for rest in _possible_rests(work, here, room[start:end], model):
                when = (tuple(days[start:end]), (rest,))
                yield from _divided(model, (j, kind), work, when, here)


def _spells(work: Work, whole: Sequence[int], least: int) -> Iterator[tuple[int, int]]:
    """Yield from which to before which working day the steps could be spread."""
    for start in range(len(whole) - 1):
        for end in range(start + 2, len(whole) + 1):
            here = whole[start:end]
            if sum(here) - max(here) >= work.total + least * (len(here) - 1):
                break
            yield start, end


def _possible_rests(
    work: Work, whole: Sequence[int], room: Sequence[int], model: Model
) -> Iterator[int]:
    """Yield the days that could take what all others leave; short ones only make it longer."""
    least, full = model.problem.min_part_minutes, sum(whole)
    for rest, alone in enumerate(whole):
        if -least * len(whole) < work.total - full + alone <= room[rest]:
            yield rest


def _divided(
    model: Model,
    doer: tuple[int, int],
    work: Work,
    when: tuple[tuple[int, ...], tuple[int, ...]],
    whole: tuple[int, ...],
) -> Iterator[Stay]:
    """Yield the stays on these days with this one rest."""
    least = model.problem.min_part_minutes
    for amounts in _with_one_rest(work, whole, when[1][0], least):
        stay = stay_with(model, doer, work, when, amounts)
        if stay is not None:
            yield stay


@lru_cache(maxsize=1 << 16)
def _with_one_rest(
    work: Work, whole: tuple[int, ...], rest: int, least: int
) -> tuple[tuple[int, ...], ...]:
    """Return the allowed divisions with one rest: the same from most days on, so kept."""
    return tuple(divisions(work, whole, {rest: None}, least))


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
    found: dict[tuple[int, ...], None] = {}
    for begun in _begun(tried, rests, least):
        found |= dict.fromkeys(_shortened(work, begun, rests, least))
    yield from (each for each in found if _is_allowed(work, each, whole, rests, least))


def _begun(amounts: Sequence[int], rests: Collection[int], least: int) -> Iterator[tuple[int, ...]]:
    """Yield the amounts; where too little is left for a rest, with a whole day that falls short."""
    missing = 1 - min(amounts)
    if missing <= 0:
        yield tuple(amounts)
        return
    small = min(range(len(amounts)), key=lambda x: amounts[x])
    if small not in rests or missing > least * len(amounts):
        return
    for other in range(len(amounts)):
        changed = list(amounts)
        changed[small], changed[other] = 1, changed[other] - missing
        if other not in rests and min(changed) > 0:
            yield tuple(changed)


def _shortened(
    work: Work, amounts: Sequence[int], rests: Collection[int], least: int
) -> Iterable[tuple[int, ...]]:
    """Return the amounts, and all that come of days that fall short for too small a part.

    Where a part of a divided step is under the least, another of its days may fall short by
    what is missing; a rest takes that up. This may make another step's part too small.
    """
    found = {tuple(amounts): None}
    latest = list(found)
    for _ in amounts:
        grown = {
            other: None
            for each in latest
            for other in _one_shorter(work, each, rests, least)
            if other not in found
        }
        found |= grown
        latest = list(grown)
    return found


def _one_shorter(
    work: Work, amounts: tuple[int, ...], rests: Collection[int], least: int
) -> Iterator[tuple[int, ...]]:
    days_of = _days_of(work, amounts)
    for parts in days_of.values():
        for day, minutes in parts.items():
            if len(parts) == 1 or minutes >= least:
                continue
            for other, rest in product([d for d in parts if d != day and d not in rests], rests):
                changed = list(amounts)
                changed[other] -= least - minutes
                changed[rest] += least - minutes
                if min(changed) > 0:
                    yield tuple(changed)


def _days_of(work: Work, amounts: Sequence[int]) -> dict[int, dict[int, int]]:
    """Return by step the minutes that it gets on each of its days."""
    days_of: dict[int, dict[int, int]] = {}
    for day, parts in enumerate(work.cut(amounts)):
        for step, minutes in parts:
            days_of.setdefault(step, {})[day] = minutes
    return days_of


def _is_allowed(
    work: Work, amounts: Sequence[int], whole: Sequence[int], rests: Collection[int], least: int
) -> bool:
    """Tell whether every cut lies inside a step and every divided step keeps the rule."""
    if min(amounts) < 1 or not _cuts_divide(work, amounts):
        return False
    missing = [full - amount for full, amount in zip(whole, amounts, strict=True)]
    divided = [parts for parts in _days_of(work, amounts).values() if len(parts) > 1]
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
    when: tuple[tuple[int, ...], tuple[int, ...]],
    amounts: tuple[int, ...],
) -> Stay | None:
    """Return the stay, None where a step must not start on its day or a rest is too long."""
    (j, kind), (days, rests) = doer, when
    job = model.problem.jobs[j]
    most = [int(model.most[kind, days[rest]]) - job.setup_minutes for rest in rests]
    if any(amounts[rest] > room for rest, room in zip(rests, most, strict=True)):
        return None
    parts, starts = _cut(work, amounts)
    cost, until = 0, work.first + len(work.lengths)
    for i, start in zip(range(work.first, until), starts, strict=True):
        cost += int(model.step_cost[j][i][kind, days[start]])
    if cost >= NEVER:
        return None
    if until == len(job.steps):
        cost += model.end_cost(j, days[-1])
    machines = tuple(_machines(model, j, day) for day in parts)
    return Stay(j, work.first, until, kind, days, parts, rests, cost, machines)


@lru_cache(maxsize=1 << 16)
def _cut(work: Work, amounts: tuple[int, ...]) -> tuple[Parts, tuple[int, ...]]:
    """Return the (step, minutes) of each day, and the position of the day each step starts on."""
    parts = work.cut(amounts)
    steps = range(work.first, work.first + len(work.lengths))
    return parts, tuple(next(d for d, day in enumerate(parts) if i in dict(day)) for i in steps)


def _machines(model: Model, j: int, parts: Sequence[tuple[int, int]]) -> int:
    steps = model.problem.jobs[j].steps
    mask = 0
    for i, _ in parts:
        mask |= model.machine_bit.get(steps[i].machine or "", 0)
    return mask
