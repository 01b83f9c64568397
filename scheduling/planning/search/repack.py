"""Frees a part of a plan and chooses its crew-days exactly anew (HiGHS); heuristic, no proof.

What is freed is a few days, a few crews, or all crew-days near a job; the rest of the plan
stays. The part grows while it is quickly done with, and shrinks where it takes too long.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Sequence

import highspy
import numpy as np

from scheduling.planning.columns.master import CrewDay, MasterRows, add_columns, add_rows
from scheduling.planning.columns.pieces import Bools, Floats
from scheduling.planning.columns.prices import Market
from scheduling.planning.columns.quiet import new_highs

# The share of a plan that is freed at first, and at most.
SHARE, MOST = 0.4, 0.9
# A part that takes less work than this grows, one that takes more shrinks; nodes of a search.
EASY_NODES, MOST_NODES = 1, 60
GROW, SHRINK = 1.08, 0.9
# No part is given more than this, in seconds.
PATIENCE = 2.0


class Repack:
    """Crew-days to choose from, and a plan of them that is chosen anew part by part."""

    def __init__(
        self,
        market: Market,
        crew_days: Iterable[CrewDay],
        draw: random.Random,
        over: Callable[[], bool],
    ) -> None:
        self.market = market
        self.rows = MasterRows(market)
        self.draw = draw
        self.over = over
        self.share = SHARE
        self.crew_days: dict[CrewDay, int] = {}
        self.highs = new_highs(mip_rel_gap=1e-4, mip_max_nodes=MOST_NODES)
        self.highs.cbMipInterrupt.subscribe(self._watch)
        self.highs.cbSimplexInterrupt.subscribe(self._watch)
        add_rows(self.highs, self.rows)
        base = self.rows.base_columns()
        add_columns(self.highs, base)
        self.first = len(base)
        self._add(crew_days)

    def round(self, plan: Sequence[CrewDay], seconds: float | None) -> list[CrewDay] | None:
        """Return a plan that is chosen anew in part, None where nothing else was found.

        Without `seconds` it ends by work alone. The solver is not told of the plan: told of
        one it was seen to call it the best when it was not.
        """
        self._add(plan)
        value = self._counts(plan)
        free = self._free(value)
        columns = np.arange(self.first, self.first + len(value), dtype=np.int32)
        least = np.where(free, 0.0, value)
        most = np.where(free, highspy.kHighsInf, value)
        highs = self.highs
        highs.clearSolver()
        highs.changeColsBounds(len(columns), columns, least, most)
        limit = highspy.kHighsInf if seconds is None else min(PATIENCE, seconds)
        highs.setOptionValue("time_limit", limit)
        highs.run()
        return self._result(value)

    def _result(self, before: Floats) -> list[CrewDay] | None:
        """Return what was chosen where it differs from before; adapt the share to the work."""
        info, status = self.highs.getInfo(), self.highs.getModelStatus()
        if status != highspy.HighsModelStatus.kOptimal:
            self.share *= SHRINK
        elif info.mip_node_count <= EASY_NODES:
            self.share = min(MOST, self.share * GROW)
        if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return None
        chosen = np.round(np.array(self.highs.getSolution().col_value)[self.first :])
        if (chosen == before).all():
            return None
        crew_days = list(self.crew_days)
        return [crew_days[i] for i in np.flatnonzero(chosen > 0) for _ in range(int(chosen[i]))]

    def _free(self, value: Floats) -> Bools:
        """Return which columns may change."""
        draw = self.draw
        model = self.market.model
        kinds, days = len(model.crews), model.days
        free = np.zeros((kinds, days), bool)
        way = draw.randrange(3)
        if way == 0:
            width = min(days, max(2, round(days * self.share)))
            begin = draw.randrange(days - width + 1)
            free[:, begin : begin + width] = True
        elif way == 1:
            free[draw.sample(range(kinds), max(1, round(kinds * self.share)))] = True
        else:
            self._free_near(free, value)
        freed: Bools = free[self.kind, self.day]
        return freed

    def _free_near(self, free: Bools, value: Floats) -> None:
        """Free the crew-days of a job and of those near to it."""
        place = np.array(self.market.model.place)
        job = self.draw.randrange(len(place))
        count = max(4, int(len(place) * self.share))
        order = np.argsort(self.market.model.travel[place[job], place], kind="stable")
        near = set(order[:count].tolist())
        crew_days = list(self.crew_days)
        for i in np.flatnonzero(value):
            if not near.isdisjoint(self._jobs(crew_days[i])):
                free[self.kind[i], self.day[i]] = True

    def _jobs(self, crew_day: CrewDay) -> set[int]:
        p = self.market.pieces
        return {
            int(p.run_job[x] if x < p.runs else p.stay_job[x - p.runs]) for x in crew_day.pieces
        }

    def _counts(self, plan: Sequence[CrewDay]) -> Floats:
        value = np.zeros(len(self.crew_days))
        for crew_day in plan:
            value[self.crew_days[crew_day]] += 1
        return value

    def _add(self, crew_days: Iterable[CrewDay]) -> None:
        new = [each for each in dict.fromkeys(crew_days) if each not in self.crew_days]
        at = self.first + len(self.crew_days)
        add_columns(self.highs, [self.rows.crew_day_column(each) for each in new])
        whole = np.arange(at, at + len(new), dtype=np.int32)
        integer = np.array([highspy.HighsVarType.kInteger] * len(new))
        self.highs.changeColsIntegrality(len(new), whole, integer)
        for each in new:
            self.crew_days[each] = len(self.crew_days)
        self.kind = np.array([each.kind for each in self.crew_days], np.int64)
        self.day = np.array([each.day for each in self.crew_days], np.int64)

    def _watch(self, event: highspy.highs.HighsCallbackEvent) -> None:
        if self.over():
            event.interrupt()
