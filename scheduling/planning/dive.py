"""Rounds the relaxation to crew-days of a plan, a few at a time (HiGHS); heuristic, no proof."""

from __future__ import annotations

import random
from collections.abc import Callable

import highspy
import numpy as np

from scheduling.planning.master import CrewDay, Master
from scheduling.planning.pieces import Floats

WHOLE = 1e-6


def dive(
    master: Master, draw: random.Random, over: Callable[[], bool], seconds_left: Callable[[], float]
) -> list[CrewDay]:
    """Return crew-days chosen by fixing what the relaxation nearly chose, and relaxing again.

    They need not make a whole plan: some jobs may be there in part or in contradiction. The
    master is left as it was. `draw` varies how boldly it rounds and what comes first.
    """
    crew_days = list(master.crew_days)
    columns = np.array([master.crew_days[each] for each in crew_days], np.int32)
    fixed = np.zeros(len(columns))
    bold = draw.uniform(0.65, 0.9)
    values = np.zeros(len(columns))
    while not over() and _relax(master, seconds_left()):
        values = np.array(master.highs.getSolution().col_value)[columns]
        more = _round_up(values, fixed, bold, draw)
        if not len(more):
            break
        fixed[more] = np.floor(values[more] + WHOLE) + (_fraction(values[more]) > 0)
        _fix(master, columns[more], fixed[more])
    touched = np.flatnonzero(fixed)
    _fix(master, columns[touched], np.zeros(len(touched)))
    chosen = np.maximum(np.floor(values + WHOLE), fixed).astype(int)
    return [crew_days[i] for i in np.flatnonzero(chosen) for _ in range(chosen[i])]


def _relax(master: Master, seconds: float) -> bool:
    return master.solve(seconds) is not None


def _fraction(values: Floats) -> Floats:
    part = values - np.floor(values + WHOLE)
    return np.where(part > WHOLE, part, 0.0)


def _round_up(values: Floats, fixed: Floats, bold: float, draw: random.Random) -> np.ndarray:
    """Return which columns to fix next: all that are whole, and the most of the rest."""
    part = _fraction(values)
    if not part.any():
        return np.empty(0, np.int64)
    whole = (part == 0) & (np.floor(values + WHOLE) > fixed)
    sure = part > bold
    if not sure.any():
        best = np.argsort(-part, kind="stable")[: 1 + draw.randrange(2)]
        sure[best[-1]] = True
    return np.flatnonzero(whole | sure)


def _fix(master: Master, columns: np.ndarray, least: Floats) -> None:
    """Set how often each column must at least be chosen."""
    count = len(columns)
    master.highs.changeColsBounds(count, columns, least, np.full(count, highspy.kHighsInf))
