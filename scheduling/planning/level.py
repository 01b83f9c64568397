"""A solve's view of its crews, as kinds or each by name: pieces, prices, relaxation, names."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from scheduling.planning.draft import Table
from scheduling.planning.model import Model, kinds_by_name
from scheduling.planning.naming import Namer
from scheduling.planning.pairs import Pair, Pairs, jobs_with_three_rests
from scheduling.planning.pieces import Pieces
from scheduling.planning.prices import Market, Prices
from scheduling.planning.relaxation import Relaxation

# A bound that stays with two rests would lower by no more than this, in cents, is theirs, too.
TOLERANCE = 0.25
# So many more such stays at a time; with more of them a list would take too long.
MOST_PAIRS = 300
# More classes of minutes than this are not looked into.
MOST_CLASSES = 100


class Level:
    """The crews sorted into kinds, with all that is built on that."""

    def __init__(
        self,
        named: Model,
        tables: list[Table],
        kinds: Sequence[Sequence[int]],
        over: Callable[[], bool],
    ) -> None:
        self.named = named
        self.tables = tables
        self.model = Model(named.problem, kinds)
        self.over = over
        self.pairs = Pairs(self.model, over)
        self.triple_jobs = jobs_with_three_rests(self.model)
        pieces = Pieces(self.model)
        self.namer = Namer(named, tables, pieces)
        self.relaxation = Relaxation(Market(pieces))

    @property
    def market(self) -> Market:
        """The pieces and their prices."""
        return self.relaxation.market

    def has_alike(self) -> bool:
        """Tell whether some kind has several crews."""
        return any(len(kind) > 1 for kind in self.model.kinds)

    def bound(self, exactly: bool = True) -> float:
        """Return the greatest bound that is proven of all plans, in cents.

        The relaxation knows only some of the stays with two rests. Each of the others loses
        at least so much, and a job has no more of them than half its steps. Not `exactly` is
        quicker and may be lower.
        """
        relaxation = self.relaxation
        if relaxation.prices is None or not self.pairs.entries:
            return relaxation.bound - self.unsearched()
        prices = relaxation.prices
        if not exactly:
            by_job = self.pairs.rough_losses(self.market, prices)
        else:
            by_job = {}
            for pair in self.pairs.worth(self.market, prices, 0.0, MOST_CLASSES)[0]:
                job = pair.stay.job
                by_job[job] = min(pair.loss, by_job.get(job, 0.0))
        lost = sum(loss * self._most(j) for j, loss in by_job.items())
        return relaxation.bound + lost - self.unsearched()

    def unsearched(self) -> float:
        """Return by what jobs that could have three days to share lower every bound, in cents.

        Such stays are not searched: a bound leaves out all that these jobs are worth, as if
        they were done for nothing.
        """
        prices, first = self.relaxation.prices, self.market.pieces.states.first
        if prices is None:
            return 0.0
        states = [int(first[j]) for j in self.triple_jobs if first[j] >= 0]
        return float(sum(max(0.0, prices.state[s]) for s in states))

    def add_pairs(self, margin: float) -> float:
        """Take in the stays with two rests that lose less than `margin`.

        Returns what those not taken in lose at least, at most `margin`.
        """
        relaxation = self.relaxation
        if relaxation.prices is None or not self.pairs.entries:
            return margin
        found, others = self.pairs.worth(self.market, relaxation.prices, margin, MOST_CLASSES)
        new = sorted(found, key=lambda pair: pair.loss)
        if new:
            self._extend(new[:MOST_PAIRS])
        return new[MOST_PAIRS].loss if len(new) > MOST_PAIRS else others

    def by_name(self) -> Level:
        """Return the level of crews by name, at the same prices and thus with the same bound.

        Crews of a kind gain the same at the same prices, so that what was proven of the kind
        holds for each of them.
        """
        kinds = kinds_by_name(self.named.problem)
        other = Level(self.named, self.tables, kinds, self.over)
        mine, plain = self.relaxation.prices, other.market.pieces.states.end
        if mine is not None:
            kind_of = [self.namer.kind_of[crew] for crew in range(len(self.named.crews))]
            other.relaxation.prices = Prices(
                mine.state[:plain], mine.day[kind_of], mine.machine, mine.keep[:, kind_of]
            )
            other.relaxation.bound = self.relaxation.bound
        return other

    def _extend(self, new: Sequence[Pair]) -> None:
        stays = [*self.market.pieces.pairs, *(pair.stay for pair in new)]
        pieces = Pieces(self.model, stays)
        middles = [pair.middle for pair in new]
        self.namer = Namer(self.named, self.tables, pieces)
        least = min(0.0, *(pair.loss for pair in new))
        bound = self.relaxation.bound + least * sum(map(self._most, range(len(self.tables))))
        if least < -TOLERANCE:
            bound = -math.inf
        self.relaxation = self.relaxation.extended(Market(pieces), middles, bound)

    def _most(self, job: int) -> int:
        """Return how many stays with two rests a job can have: each divides two steps."""
        return len(self.named.problem.jobs[job].steps) // 2
