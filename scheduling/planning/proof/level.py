"""A solve's view of its crews, as kinds or each by name: pieces, prices, relaxation, names."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from scheduling.planning.columns.master import Chain
from scheduling.planning.columns.model import Model, kinds_by_name
from scheduling.planning.columns.pairs import Pair, Pairs, jobs_with_three_rests
from scheduling.planning.columns.pieces import Pieces
from scheduling.planning.columns.prices import Market, Prices
from scheduling.planning.columns.relaxation import Listing, Relaxation
from scheduling.planning.search.draft import JobTable
from scheduling.planning.search.naming import Namer
from scheduling.planning.session import Session

# So many more such stays at a time; with more of them a list would take too long.
MOST_PAIRS = 300


class Level:
    """The crews sorted into kinds, with all that is built on that."""

    def __init__(
        self,
        named: Model,
        tables: list[JobTable],
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
        self.relaxation = Relaxation(Market(pieces), over)
        self._looked_at: Prices | None = None
        self._found: list[tuple[float, Chain]] = []

    @property
    def market(self) -> Market:
        """The pieces and their prices."""
        return self.relaxation.market

    def has_alike(self) -> bool:
        """Tell whether some kind has several crews."""
        return any(len(kind) > 1 for kind in self.model.kinds)

    def margin(self, session: Session, share: float) -> float:
        """Return what a crew-day may lose: a share of the bound, no more than the gap."""
        bound = self.relaxation.bound
        return max(0.0, min(share * bound, session.cost - bound))

    def listing(
        self, session: Session, share: float, most: int, among: Relaxation
    ) -> Listing | None:
        """Return the crew-days of a relaxation that are worth choosing from.

        Those that lose up to a share of this one's bound, a smaller share where they would be
        more than `most`; None where time ran out.
        """
        while not session.over():
            listing = among.within(self.margin(session, share), most, session.over)
            if listing is not None:
                return listing
            share /= 2
        return None

    def bound(self) -> float:
        """Return the greatest bound that is proven of all plans, in cents.

        The relaxation knows only some of the stays with two rests. Each of the others loses
        at least so much, and a job has no more of them than half its steps. Raises TimeUp.
        """
        relaxation = self.relaxation
        if relaxation.prices is None:
            return relaxation.bound
        by_job: dict[int, float] = {}
        for loss, chain in self._gaining():
            by_job[chain.stay.job] = min(loss, by_job.get(chain.stay.job, 0.0))
        lost = sum(loss * self._most(j) for j, loss in by_job.items())
        return relaxation.bound + lost - self.unsearched()

    def _gaining(self) -> list[tuple[float, Chain]]:
        """Return stays with two rests that gain, kept while the prices are the same."""
        prices = self.relaxation.prices
        if prices is None:
            return []
        if self._looked_at is not prices:
            self._looked_at, self._found = prices, self.pairs.gaining(self.market, prices)
        return self._found

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

    def add_gaining(self) -> bool:
        """Take stays with two rests that gain into the relaxation; tell whether any were new."""
        return self.relaxation.add_chains(chain for _, chain in self._gaining())

    def add_pairs(self, margin: float) -> float:
        """Take in the stays with two rests that lose less than `margin`.

        Returns what those not taken in lose at least, at most `margin`.
        """
        relaxation = self.relaxation
        if relaxation.prices is None:
            return margin
        found = self.pairs.losing_less(self.market, relaxation.prices, margin)
        new = sorted(found, key=lambda pair: pair.loss)
        self._extend(new[:MOST_PAIRS], self.bound())
        return new[MOST_PAIRS].loss if len(new) > MOST_PAIRS else margin

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

    def _extend(self, new: Sequence[Pair], bound: float) -> None:
        """Take stays with two rests into the relaxation; `bound` holds with them, too."""
        if not new:
            return
        stays = [*self.market.pieces.pairs, *(pair.stay for pair in new)]
        pieces = Pieces(self.model, stays)
        self.namer = Namer(self.named, self.tables, pieces)
        middles = [pair.middle for pair in new]
        self.relaxation = self.relaxation.extended(Market(pieces), middles, bound)

    def _most(self, job: int) -> int:
        """Return how many stays with two rests a job can have: each divides two steps."""
        return len(self.named.problem.jobs[job].steps) // 2
