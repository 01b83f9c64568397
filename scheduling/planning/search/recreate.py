"""Ruin and recreate: takes a few jobs out of a draft and puts them in again, better or not."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence

import numpy as np

from scheduling.planning.columns.model import Model
from scheduling.planning.search.draft import Draft

# A worse draft is kept with a chance that falls with the cents it is worse by, measured
# against this share of the cost per job; it cools down by the square over the rounds.
WARMTH = 0.1


def first_draft(draft: Draft) -> Draft:
    """Put every job in by its cheapest path, those whose delay costs most first."""
    jobs = draft.model.problem.jobs
    order = sorted(
        range(len(jobs)),
        key=lambda j: (jobs[j].promised_day, -jobs[j].late_cost, -len(jobs[j].steps), j),
    )
    fixed = {entry.step for entry in draft.model.problem.fixed}
    order.sort(key=lambda j: not any(step.id in fixed for step in jobs[j].steps))
    for j in order:
        if not draft.arcs[j]:
            draft.insert(j)
    return draft


class Ruin:
    """Chooses which jobs to take out together: near in place, in time, on a crew's days."""

    def __init__(self, model: Model, draw: random.Random) -> None:
        self.draw = draw
        self.jobs = len(model.problem.jobs)
        self.stake = [model.left_out_cost(j, 0) for j in range(self.jobs)]
        self.length = [int(minutes.max(axis=1, initial=0).sum()) for minutes in model.minutes]
        self.distance = model.travel[np.ix_(model.place, model.place)]
        self.ways: list[Callable[[Draft, int, int], Sequence[int]]] = [
            self._near,
            self._near,
            self._same_days,
            self._crew,
            self._any,
        ]

    def choose(self, draft: Draft) -> list[int]:
        """Return the jobs to take out of the draft, in the order to put them back."""
        count = min(self.jobs, self.draw.randint(2, 9))
        seed = self.draw.randrange(self.jobs)
        chosen = list(self.draw.choice(self.ways)(draft, seed, count))
        waiting = [j for j in range(self.jobs) if not self._is_whole(draft, j)]
        for j in self.draw.sample(waiting, min(len(waiting), 2)):
            if j not in chosen:
                chosen.append(j)
        return self._order(draft, chosen)

    def _order(self, draft: Draft, chosen: list[int]) -> list[int]:
        """Return the jobs in the order to put them back, by one of several measures or none."""
        self.draw.shuffle(chosen)
        measure = self.draw.choice([None, self.stake, self.length, draft.job_cost])
        if measure is not None:
            chosen.sort(key=lambda j: -measure[j])
        return chosen

    def _is_whole(self, draft: Draft, j: int) -> bool:
        arcs = draft.arcs[j]
        return bool(arcs) and arcs[-1].until == len(draft.model.problem.jobs[j].steps)

    def _near(self, draft: Draft, seed: int, count: int) -> Sequence[int]:
        del draft
        order = np.argsort(self.distance[seed], kind="stable")
        near = [int(j) for j in order[: 3 * count]]
        return [seed, *self.draw.sample([j for j in near if j != seed], min(count, len(near)) - 1)]

    def _same_days(self, draft: Draft, seed: int, count: int) -> Sequence[int]:
        days = {arc.day for arc in draft.arcs[seed]} or {self.draw.randrange(draft.model.days)}
        others = [
            j
            for j in range(self.jobs)
            if j != seed and any(arc.day in days for arc in draft.arcs[j])
        ]
        return [seed, *self.draw.sample(others, min(count - 1, len(others)))]

    def _crew(self, draft: Draft, seed: int, count: int) -> Sequence[int]:
        crews = [arc.crew for arc in draft.arcs[seed]] or [0]
        days = draft.model.days
        middle = (draft.arcs[seed][0].day if draft.arcs[seed] else 0) + self.draw.randint(-1, 1)
        found = {seed: None}
        for day in sorted(range(days), key=lambda day: abs(day - middle)):
            for entry in draft.stops[crews[0] * days + day]:
                found[entry.job] = None
        return list(found)[:count]

    def _any(self, draft: Draft, seed: int, count: int) -> Sequence[int]:
        del draft
        others = [j for j in range(self.jobs) if j != seed]
        return [seed, *self.draw.sample(others, min(count - 1, len(others)))]


class Search:
    """Rounds of ruin and recreate from one draft; keeps the best."""

    def __init__(self, draft: Draft, seed: int) -> None:
        self.draw = random.Random(seed)  # noqa: S311 - a search, no secret
        self.ruin = Ruin(draft.model, self.draw)
        self.now = draft
        self.now_cost = draft.cost
        self.best = draft
        self.best_cost = self.now_cost

    def run(self, rounds: int, over: Callable[[], bool], warmth: float = 1.0) -> None:
        """Run so many rounds, cooling down, fewer once `over` says so after a round."""
        for done in range(rounds):
            self._round(warmth * (1 - done / rounds) ** 2)
            if over():
                return

    def restart(self, draft: Draft) -> None:
        """Go on from another draft."""
        self.now, self.now_cost = draft, draft.cost
        self._keep()

    def _round(self, warmth: float) -> None:
        draft = self.now.copy()
        jobs = self.ruin.choose(draft)
        for j in jobs:
            draft.remove(j)
        for j in jobs:
            draft.insert(j)
        cost = draft.cost
        allowed = warmth * WARMTH * self.best_cost / max(1, self.ruin.jobs)
        if cost <= self.now_cost - allowed * math.log(1 - self.draw.random()) * 0.3:
            self.now, self.now_cost = draft, cost
            self._keep()

    def _keep(self) -> None:
        if self.now_cost < self.best_cost:
            self.best, self.best_cost = self.now, self.now_cost
