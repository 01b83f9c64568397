"""Rounds the relaxation to crew-days of a plan, a few at a time (HiGHS); heuristic, no proof."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

import highspy
import numpy as np

from scheduling.planning.columns.master import CrewDay, MasterRows, add_columns, add_rows
from scheduling.planning.columns.pieces import Floats
from scheduling.planning.columns.quiet import new_highs

WHOLE = 1e-6
# At least so near to one more is taken as one more, and so many of the nearest at once.
BOLD = (0.65, 0.95)
AT_ONCE = (0.0, 0.03, 0.1)
# A rounding that makes the relaxation dearer by this share is taken back, as an impossible one
# is, but no more often than this in one dive.
JUMP = 0.04
RETREATS = 20


class Dive:
    """One rounding of the relaxation over some crew-days."""

    def __init__(
        self,
        rows: MasterRows,
        crew_days: Sequence[CrewDay],
        draw: random.Random,
        over: Callable[[], bool],
    ) -> None:
        self.crew_days = list(crew_days)
        self.draw = draw
        self.over = over
        self.highs = new_highs(presolve="off", solver="ipm", run_crossover="on")
        self.highs.cbSimplexInterrupt.subscribe(self._watch)
        self.highs.cbIpmInterrupt.subscribe(self._watch)
        add_rows(self.highs, rows)
        base = rows.base_columns()
        add_columns(self.highs, base)
        add_columns(self.highs, [rows.crew_day_column(each) for each in self.crew_days])
        self.columns = np.arange(len(base), len(base) + len(self.crew_days), dtype=np.int32)
        self.least = np.zeros(len(self.crew_days))
        self.most = np.full(len(self.crew_days), highspy.kHighsInf)
        self.values = np.zeros(len(self.crew_days))
        self.cost = 0.0

    def run(self, seconds_left: Callable[[], float]) -> list[CrewDay]:
        """Return crew-days chosen by fixing what the relaxation nearly chose, and relaxing again.

        They need not make a whole plan: some jobs may be there in part or in contradiction.
        """
        bold, at_once = self.draw.uniform(*BOLD), self.draw.choice(AT_ONCE)
        retreats, last = 0, np.empty(0, np.int64)
        while not self.over():
            is_good = self._relax(seconds_left(), len(last) > 0 and retreats < RETREATS)
            if is_good:
                fixed = self._nearest(bold, at_once)
                if not len(fixed):
                    break
                part = self._part()[fixed]
                self.least[fixed] = np.floor(self.values[fixed] + WHOLE) + (part > 0)
                self._set_limits(fixed)
                last = fixed[part > 0]
            elif retreats == RETREATS or not len(last) or self.over():
                break
            else:
                last, retreats = self._retreat(last), retreats + 1
        chosen = np.maximum(np.floor(self.values + WHOLE), self.least).astype(int)
        return [self.crew_days[i] for i in np.flatnonzero(chosen) for _ in range(chosen[i])]

    def _relax(self, seconds: float, is_choosy: bool) -> bool:
        """Relax anew; tell whether that can be gone on from: possible, and not much dearer."""
        self.highs.setOptionValue("time_limit", self.highs.getRunTime() + seconds)
        self.highs.run()
        # The first corner is found soonest from the middle, all others from the corner before.
        self.highs.setOptionValue("solver", "simplex")
        if self.highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return False
        cost = self.highs.getInfo().objective_function_value
        if is_choosy and cost > self.cost + JUMP * abs(self.cost):
            return False
        self.cost = cost
        self.values = np.array(self.highs.getSolution().col_value)[self.columns]
        return True

    def _part(self) -> Floats:
        part = self.values - np.floor(self.values + WHOLE)
        return np.where(part > WHOLE, part, 0.0)

    def _nearest(self, bold: float, at_once: float) -> np.ndarray:
        """Return which columns to fix next: all that are whole, and the most of the rest."""
        part = self._part()
        open_ = np.flatnonzero(part)
        if not len(open_):
            return open_
        whole = (part == 0) & (np.floor(self.values + WHOLE) > self.least)
        sure = part > bold
        ranked = open_[np.argsort(-part[open_], kind="stable")]
        count = max(1, int(at_once * len(open_)))
        sure[[x for x in ranked[:count] if part[x] > 0.5]] = True
        if not sure.any():
            sure[ranked[self.draw.randrange(min(2, len(ranked)))]] = True
        fixed = np.flatnonzero(whole | sure)
        return fixed[np.argsort(-part[fixed], kind="stable")]

    def _retreat(self, last: np.ndarray) -> np.ndarray:
        """Take the last rounding back: all of it, but for the nearer half if it was several."""
        half = last[: len(last) // 2]
        undone = last[len(last) // 2 :]
        self.least[undone] = np.floor(self.values[undone] + WHOLE)
        if not len(half):
            # Alone it is impossible with all that stands.
            self.most[undone] = self.least[undone]
        self._set_limits(undone)
        return half

    def _set_limits(self, which: np.ndarray) -> None:
        count = len(which)
        self.highs.changeColsBounds(count, self.columns[which], self.least[which], self.most[which])

    def _watch(self, event: highspy.highs.HighsCallbackEvent) -> None:
        if self.over():
            event.interrupt()
