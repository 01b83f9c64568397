"""The linear relaxation over crew-days found so far (HiGHS); knows no pricing and no plan.

Rows: each state is left as often as it is reached; crew-days per kind and day; machines per
day; at each boundary between steps, who goes on with a job that another kind began is paid
for. Columns: waiting, leaving out, hand-offs, and crew-days with all that their stays take.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import highspy
import numpy as np

from scheduling.planning.columns.model import Stay
from scheduling.planning.columns.pieces import Floats, Pieces, finish_of
from scheduling.planning.columns.prices import Market, Prices
from scheduling.planning.columns.quiet import new_highs
from scheduling.planning.columns.tours import Ends, Entry, shortest_tour

INFINITY = float("inf")
# A column's entries by row while they are gathered.
Entries = dict[int, float]


@dataclass(frozen=True)
class CrewDay:
    """A kind of crew on a day with the numbers of its pieces, in order."""

    kind: int
    day: int
    pieces: tuple[int, ...]


@dataclass(frozen=True)
class Chain:
    """A stay with two rests as a whole, with the numbers of the pieces beside each rest."""

    stay: Stay
    beside: tuple[tuple[int, ...], tuple[int, ...]]


@dataclass(frozen=True)
class MasterColumn:
    """A column of the relaxation: its cents and its entries by row."""

    cost: int
    rows: tuple[int, ...]
    values: tuple[float, ...]


class MasterRows:
    """Where each row of the relaxation stands."""

    def __init__(self, market: Market) -> None:
        self.market = market
        self.pieces = market.pieces
        self.days = self.pieces.model.days
        self.kinds = len(self.pieces.model.crews)
        self.machines = len(self.pieces.model.machine_bit)
        self.states = self.pieces.states.end
        self.first_day = self.states
        self.first_machine = self.first_day + self.kinds * self.days
        self.first_keep = self.first_machine + self.machines * self.days
        self.first_left = self.first_keep + market.boundaries * self.kinds
        self.count = self.first_left + market.boundaries

    def day(self, kind: int, day: int) -> int:
        """Return the row that counts crew-days of a kind on a day."""
        return self.first_day + kind * self.days + day

    def machine(self, bit: int, day: int) -> int:
        """Return the row that counts a machine's use on a day."""
        return self.first_machine + bit * self.days + day

    def keep(self, boundary: int, kind: int) -> int:
        """Return the row of a boundary at which a kind goes on or hands over."""
        return self.first_keep + boundary * self.kinds + kind

    def left(self, boundary: int) -> int:
        """Return the row of what is left out at a boundary."""
        return self.first_left + boundary

    def limits(self) -> tuple[Floats, Floats]:
        """Return the least and greatest value of each row."""
        model = self.pieces.model
        lower = np.full(self.count, -INFINITY)
        upper = np.zeros(self.count)
        lower[: self.states] = 0
        starts = self.pieces.states.first
        lower[starts[starts >= 0]] = upper[starts[starts >= 0]] = 1
        upper[self.first_day : self.first_machine] = np.repeat(model.count, self.days)
        upper[self.first_machine : self.first_keep] = model.available.reshape(-1)
        return lower, upper

    def prices(self, duals: Floats) -> Prices:
        """Return the prices that the duals of the rows stand for."""
        kinds, days = self.kinds, self.days
        return Prices(
            state=duals[: self.states],
            day=-duals[self.first_day : self.first_machine].reshape(kinds, days),
            machine=-duals[self.first_machine : self.first_keep].reshape(self.machines, days),
            keep=-duals[self.first_keep : self.first_left].reshape(-1, kinds),
        )

    def base_columns(self) -> list[MasterColumn]:
        """Return the columns of waiting, leaving out and handing over."""
        states = self.pieces.states
        columns = []
        for s in range(states.end):
            if states.later[s] != s:
                columns.append(MasterColumn(0, (s, int(states.later[s])), (1.0, -1.0)))
            else:
                columns.append(self._left_out(s))
        handoff = self.pieces.model.problem.costs.handoff
        for boundary in range(self.market.boundaries):
            for kind in range(self.kinds):
                row = self.keep(boundary, kind)
                columns.append(MasterColumn(handoff, (row,), (-1.0,)))
                columns.append(MasterColumn(0, (row, self.left(boundary)), (-1.0, 1.0)))
        return columns

    def crew_day_column(self, crew_day: CrewDay) -> MasterColumn:
        """Return the column of a crew-day: its cost, its states, days and machines."""
        entries: Entries = {}
        return self._column(self._add_crew_day(entries, crew_day, None), entries)

    def chain_column(self, chain: Chain) -> MasterColumn:
        """Return the column of a stay with two rests and all that shares its days."""
        p, stay, entries = self.pieces, chain.stay, Entries()
        start = int(p.states.at[stay.job][stay.first][stay.days[0]])
        finish, cost = finish_of(p.model, p.states, stay.job, stay.until, stay.days[-1])
        self._add_ends(entries, stay.kind, (stay.job, stay.first, stay.until), (start, finish))
        cost += stay.cost
        rests = dict(zip(stay.rests, chain.beside, strict=True))
        for x, day in enumerate(stay.days):
            crew_day = CrewDay(stay.kind, day, rests.get(x, ()))
            cost += self._add_crew_day(entries, crew_day, (stay, x))
        return self._column(cost, entries)

    def _column(self, cost: int, entries: Entries) -> MasterColumn:
        held = {row: value for row, value in entries.items() if value}
        return MasterColumn(cost, tuple(held), tuple(held.values()))

    def _add_crew_day(
        self, entries: Entries, crew_day: CrewDay, guest: tuple[Stay, int] | None
    ) -> int:
        """Enter a crew-day, with the day of a stay as one more stop; return what it costs."""
        cost = crew_day_cost(self.pieces, crew_day, guest)
        carried = guest[0].machines[guest[1]] if guest else 0
        _add(entries, self.day(crew_day.kind, crew_day.day), 1.0)
        for piece in crew_day.pieces:
            cost += piece_cost(self.pieces, crew_day, piece)
            carried |= self._add_piece(entries, crew_day, piece)
        for bit in self._bits(carried):
            _add(entries, self.machine(bit, crew_day.day), 1.0)
        return cost

    def _left_out(self, state: int) -> MasterColumn:
        states = self.pieces.states
        boundary = int(self.market.boundary[states.job[state], states.step[state]])
        cost = int(states.out[state])
        if boundary < 0:
            return MasterColumn(cost, (state,), (1.0,))
        return MasterColumn(cost, (state, self.left(boundary)), (1.0, -1.0))

    def _add_piece(self, entries: Entries, crew_day: CrewDay, piece: int) -> int:
        """Enter a piece's rows; return the machines that it needs on the crew-day itself."""
        p, kind, day = self.pieces, crew_day.kind, crew_day.day
        if piece < p.runs:
            run = p.run_list[piece]
            ends = int(p.run_start[piece, day]), int(p.run_finish[piece, day])
            self._add_ends(entries, kind, (run.job, run.first, run.until), ends)
            return run.machines
        s = piece - p.runs
        span = p.span_list[s]
        for x in span.whole:
            other = span.stay.days[x]
            _add(entries, self.day(kind, other), 1.0)
            for bit in self._bits(span.stay.machines[x]):
                _add(entries, self.machine(bit, other), 1.0)
        steps = (span.stay.job, int(p.stay_first[s]), int(p.stay_until[s]))
        self._add_ends(entries, kind, steps, (span.start, span.finish))
        return span.stay.machines[span.at]

    def _add_ends(
        self,
        entries: Entries,
        kind: int,
        steps: tuple[int, int, int],
        ends: tuple[int, int],
    ) -> None:
        job, first, until = steps
        boundary = self.market.boundary
        _add(entries, ends[0], 1.0)
        if first > 0:
            _add(entries, self.keep(int(boundary[job, first]), kind), -1.0)
        if ends[1] < self.states:
            _add(entries, ends[1], -1.0)
        if ends[1] < self.states and until > 0:
            _add(entries, self.keep(int(boundary[job, until]), kind), 1.0)

    def _bits(self, mask: int) -> Iterable[int]:
        return (bit for bit in range(self.machines) if mask >> bit & 1)


def piece_cost(pieces: Pieces, crew_day: CrewDay, piece: int) -> int:
    """Return what the job pays for a piece, and a stay for its whole days, in cents."""
    if piece < pieces.runs:
        return int(pieces.run_cost[piece, crew_day.kind, crew_day.day])
    return int(pieces.stay_cost[piece - pieces.runs])


def crew_day_cost(pieces: Pieces, crew_day: CrewDay, guest: tuple[Stay, int] | None = None) -> int:
    """Return drive, overtime and the crew-day itself, in cents, with a stay's day if given."""
    model, rates = pieces.model, pieces.model.problem.costs
    entries = tuple(_entry(pieces, crew_day.kind, piece) for piece in crew_day.pieces)
    if guest is not None:
        stay, x = guest
        minutes = sum(minutes for _, minutes in stay.parts[x]) + int(pieces.setup[stay.job])
        entries += (Entry(stay.job, model.place[stay.job], minutes, 0, ()),)
    drive, _ = shortest_tour(model.travel, Ends(*model.ends(crew_day.kind, crew_day.day)), entries)
    used = drive + sum(entry.minutes for entry in entries)
    over = max(0, used - int(model.usual[crew_day.kind, crew_day.day]))
    return drive * rates.travel_minute + over * rates.overtime_minute + rates.crew_day


def _add(entries: Entries, row: int, value: float) -> None:
    entries[row] = entries.get(row, 0.0) + value


def _entry(pieces: Pieces, kind: int, piece: int) -> Entry:
    if piece < pieces.runs:
        job, minutes = int(pieces.run_job[piece]), int(pieces.run_minutes[piece, kind])
    else:
        s = piece - pieces.runs
        job, minutes = int(pieces.stay_job[s]), int(pieces.stay_minutes[s])
    return Entry(job, pieces.model.place[job], minutes, 0, ())


class Master:
    """The relaxation, to which crew-days are added.

    HiGHS solves it by an interior-point method without crossover: prices from the middle of
    what is optimal settle in a third of the rounds that those of a corner take, and the many
    ties of these problems do not slow it down.
    """

    def __init__(self, market: Market, over: Callable[[], bool]) -> None:
        self.rows = MasterRows(market)
        self.crew_days: dict[CrewDay, int] = {}
        self.chains: dict[Chain, None] = {}
        self.columns: list[MasterColumn] = []
        self.over = over
        self.losses: Floats = np.empty(0)
        self.highs = new_highs(solver="ipm", run_crossover="off")
        self.highs.cbIpmInterrupt.subscribe(self._watch)
        add_rows(self.highs, self.rows)
        self._append(self.rows.base_columns())

    def add(self, crew_days: Iterable[CrewDay]) -> int:
        """Add crew-days that are not yet there; return how many were new."""
        new = [each for each in dict.fromkeys(crew_days) if each not in self.crew_days]
        first = len(self.columns)
        self._append([self.rows.crew_day_column(each) for each in new])
        self.crew_days.update({each: first + i for i, each in enumerate(new)})
        return len(new)

    def add_chains(self, chains: Iterable[Chain]) -> int:
        """Add stays with two rests that are not yet there; return how many were new."""
        new = [each for each in dict.fromkeys(chains) if each not in self.chains]
        self._append([self.rows.chain_column(each) for each in new])
        self.chains.update(dict.fromkeys(new))
        return len(new)

    def solve(self, seconds: float) -> tuple[float, Prices] | None:
        """Return the relaxation's value and prices, None where time ran out."""
        if not self.columns:
            return self.rows.market.fixed_cost, self.rows.prices(np.zeros(self.rows.count))
        self.highs.setOptionValue("time_limit", self.highs.getRunTime() + seconds)
        self.highs.run()
        if self.highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        solution = self.highs.getSolution()
        duals, self.losses = np.array(solution.row_dual), np.array(solution.col_dual)
        value = self.highs.getInfo().objective_function_value + self.rows.market.fixed_cost
        return float(value), self.rows.prices(duals)

    def near(self, margin: float) -> list[CrewDay]:
        """Return the crew-days that lost no more than `margin` cents when last relaxed."""
        known = len(self.losses)
        return [
            each for each, x in self.crew_days.items() if x < known and self.losses[x] <= margin
        ]

    def _watch(self, event: highspy.highs.HighsCallbackEvent) -> None:
        if self.over():
            event.interrupt()

    def _append(self, columns: list[MasterColumn]) -> None:
        self.columns += columns
        add_columns(self.highs, columns)


def add_rows(highs: highspy.Highs, rows: MasterRows) -> None:
    """Give a solver the rows of the relaxation."""
    lower, upper = rows.limits()
    none, no_rows = np.empty(0), np.empty(0, np.int32)
    highs.addRows(rows.count, lower, upper, 0, np.zeros(rows.count, np.int32), no_rows, none)


def add_columns(highs: highspy.Highs, columns: Sequence[MasterColumn]) -> None:
    """Give a solver columns that are chosen any number of times."""
    if not columns:
        return
    sizes = [len(column.rows) for column in columns]
    highs.addCols(
        len(columns),
        np.array([float(column.cost) for column in columns]),
        np.zeros(len(columns)),
        np.full(len(columns), INFINITY),
        sum(sizes),
        np.cumsum([0, *sizes[:-1]]).astype(np.int32),
        np.array([row for column in columns for row in column.rows], np.int32),
        np.array([value for column in columns for value in column.values], np.float64),
    )
