"""Chooses among listed crew-days exactly (HiGHS, in a thread of its own); knows no pricing.

What it proves holds for plans of these crew-days only; whoever listed them knows what any
other crew-day costs at least. The solver is not told of a plan to start from: told of one,
HiGHS 1.16 was seen to call "optimal" what costs less than any plan.
"""

from __future__ import annotations

import atexit
import math
import threading
from collections.abc import Iterable, Sequence

import highspy
import numpy as np

from scheduling.planning.columns.master import CrewDay, MasterRows, add_columns, add_rows
from scheduling.planning.columns.pieces import Floats
from scheduling.planning.columns.prices import Market
from scheduling.planning.columns.quiet import new_highs

# A bound is believed up to this many cents of rounding in the solver.
ROUNDING = 0.01
# How long an interpreter that ends waits for a choice that was told to stop.
LAST_SECONDS = 10.0


class Choice:
    """One exact choice among crew-days: begin it, watch it, take its plans, stop it."""

    def __init__(self, market: Market, crew_days: Iterable[CrewDay]) -> None:
        self.rows = MasterRows(market)
        self.fixed_cost = market.fixed_cost
        self.crew_days = list(dict.fromkeys(crew_days))
        base = self.rows.base_columns()
        self.first = len(base)
        self.columns = base + [self.rows.crew_day_column(each) for each in self.crew_days]
        self.highs = new_highs(mip_rel_gap=0.0, mip_abs_gap=0.5)
        self._build()
        self._plans: list[list[CrewDay]] = []
        self._lock = threading.Lock()
        self._stop = threading.Event()
        self._live_bound = -math.inf
        self._thread: threading.Thread | None = None
        self.optimal = False
        self.nodes = 0

    def begin(self, seconds: float, nodes: float) -> None:
        """Start choosing, for so many seconds and nodes of the search tree at most."""
        self.highs.setOptionValue("time_limit", seconds)
        self.highs.setOptionValue("mip_max_nodes", int(min(nodes + 1, highspy.kHighsIInf)))
        self.highs.cbMipInterrupt.subscribe(self._watch)
        self.highs.cbMipImprovingSolution.subscribe(self._hear)
        self.highs.cbSimplexInterrupt.subscribe(self._watch_simplex)
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()
        # An interpreter that ends while compiled code runs in a thread would crash.
        atexit.register(self.wait, LAST_SECONDS)

    def wait(self, seconds: float) -> bool:
        """Wait for the end for so many seconds; tell whether it has come."""
        if self._thread is not None:
            self._thread.join(seconds)
        if self.running:
            return False
        atexit.unregister(self.wait)
        return True

    @property
    def running(self) -> bool:
        """Tell whether it still chooses."""
        return self._thread is not None and self._thread.is_alive()

    def stop(self) -> None:
        """Ask it to stop; what it has found stays."""
        self._stop.set()

    def plans(self) -> list[list[CrewDay]]:
        """Return the choices found since the last call, each better than the one before."""
        with self._lock:
            found, self._plans = self._plans, []
        return found

    def bound(self) -> float:
        """Return a lower bound of all plans of these crew-days, in cents."""
        return self._live_bound - ROUNDING + self.fixed_cost

    def _build(self) -> None:
        add_rows(self.highs, self.rows)
        add_columns(self.highs, self.columns)
        whole = np.arange(self.first, len(self.columns), dtype=np.int32)
        kind = np.array([highspy.HighsVarType.kInteger] * len(whole))
        self.highs.changeColsIntegrality(len(whole), whole, kind)

    def _run(self) -> None:
        self.highs.run()
        info = self.highs.getInfo()
        self.nodes = max(0, info.mip_node_count)
        self._live_bound = max(self._live_bound, info.mip_dual_bound)
        if self.highs.getModelStatus() == highspy.HighsModelStatus.kOptimal:
            self.optimal = True
            self._take(self.highs.getSolution().col_value)

    def _watch(self, event: highspy.highs.HighsCallbackEvent) -> None:
        self._live_bound = max(self._live_bound, event.data_out.mip_dual_bound)
        if self._stop.is_set():
            event.interrupt()

    def _watch_simplex(self, event: highspy.highs.HighsCallbackEvent) -> None:
        if self._stop.is_set():
            event.interrupt()

    def _hear(self, event: highspy.highs.HighsCallbackEvent) -> None:
        self._take(event.data_out.mip_solution)

    def _take(self, values: Sequence[float] | Floats) -> None:
        chosen = np.round(np.array(values)[self.first :]).astype(int)
        plan = [self.crew_days[i] for i in np.flatnonzero(chosen > 0) for _ in range(chosen[i])]
        with self._lock:
            self._plans.append(plan)
