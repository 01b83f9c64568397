"""Proves how good a plan can be: relaxation, bound, exact choice; finds no plan by search."""

from __future__ import annotations

import math
import time
from contextlib import suppress

from scheduling.planning.columns.model import Model, kinds_alike
from scheduling.planning.columns.pairs import TimeUp
from scheduling.planning.improver import Improver
from scheduling.planning.proof.finish import Choice
from scheduling.planning.proof.level import Level
from scheduling.planning.search.draft import JobTable
from scheduling.planning.second_core import SecondCore
from scheduling.planning.session import POLL_SECONDS, Session
from scheduling.planning.tunings import Tunings


class Prover:
    """Raises the bound of a solve and chooses exactly, while the plan is bettered beside."""

    def __init__(
        self,
        session: Session,
        improver: Improver,
        second_core: SecondCore,
        workers: int,
        tunings: Tunings,
    ) -> None:
        self.session = session
        self.improver = improver
        self.second_core = second_core
        self.workers = workers
        self.tunings = tunings

    def prove(self, named: Model, tables: list[JobTable]) -> None:
        """Bound the plan and choose exactly; better the plan meanwhile. Raises TimeUp."""
        self._see(Level(named, tables, kinds_alike(self.session.problem), self._over))
        self._relax()
        self._choose()
        if not self._over() and self.level.has_alike():
            self._see(self.level.by_name())
            self._choose()
        while not self._over():
            self._go_on()

    def _see(self, level: Level) -> None:
        self.level = self.improver.level = level

    def _over(self) -> bool:
        """Tell whether to end; take the plans that were found beside."""
        self.second_core.take()
        return self.session.over()

    def _go_on(self) -> None:
        """Better the plan, or wait a moment for who does so beside."""
        if self.second_core.is_at_work:
            time.sleep(POLL_SECONDS)
        else:
            self.improver.better()

    def _relax(self) -> None:
        """Solve the relaxation, raising the bound as it goes."""
        level, tunings = self.level, self.tunings
        level.relaxation.master.add(level.namer.crew_days(self.improver.search.best))
        try:
            if self.workers > 1:
                level.relaxation.begin_worker()
            self._settle(tunings.relaxation_time)
        finally:
            level.relaxation.end_worker()
        self.second_core.begin(self.improver.better)
        if self.second_core.is_begun:
            # A large one is not settled yet: a plan near to it is looked for meanwhile.
            self._settle(tunings.last_relaxation_time)
        if self._is_near(tunings.roughly):
            self._raise_bound()
        if not self.second_core.is_begun:
            self.improver.begin_with_dives()
        self._take_in_stays()

    def _take_in_stays(self) -> None:
        """Take stays with two rests into the relaxation as long as they lower the bound."""
        level, tunings = self.level, self.tunings
        for _ in range(tunings.chain_rounds):
            lost = level.relaxation.bound - level.bound()
            if self._over() or lost <= tunings.small_loss * level.relaxation.bound:
                break
            if not level.add_gaining():
                break
            self._settle(tunings.relaxation_time)
            self._raise_bound()

    def _settle(self, share: float) -> None:
        """Do rounds of the relaxation until it is settled, or so much of the time is over."""
        session, level, tunings = self.session, self.level, self.tunings
        rounds, goes_on = 0, not level.relaxation.settled
        while goes_on and not self._over() and not self._is_late(share):
            goes_on = level.relaxation.round(session.seconds_left)
            session.spend(tunings.relaxation_work)
            rounds += 1
            if rounds % tunings.bound_every == 0 and self._is_near(tunings.nearly):
                self._raise_bound()

    def _is_near(self, share: float) -> bool:
        relaxation = self.level.relaxation
        return relaxation.bound > (1 - share) * relaxation.value

    def _is_late(self, share: float) -> bool:
        return not self.session.is_limited and self.session.share_left < 1 - share

    def _raise_bound(self) -> None:
        with suppress(TimeUp):
            self.session.raise_bound(whole_cents(self.level.bound()))

    def _choose(self) -> None:
        """Choose exactly among longer and longer lists of crew-days until the plan is proven."""
        session, level, tunings = self.session, self.level, self.tunings
        share, most = tunings.first_share, tunings.short_list
        while not session.over():
            others = level.add_pairs(level.margin(session, share))
            listing = level.listing(session, share, most, level.relaxation)
            if listing is None:
                return
            relaxation = level.relaxation
            relaxation.master.add(listing.crew_days)
            choice = Choice(relaxation.market, listing.crew_days)
            self._watch(choice, min(listing.margin, others))
            # Where the choice itself is what bounds, more to choose from proves no more.
            is_exact = choice.bound() <= relaxation.bound + min(listing.margin, others)
            if not choice.optimal or is_exact:
                return
            share, most = tunings.wider * listing.margin / relaxation.bound, tunings.longest_list

    def _watch(self, choice: Choice, margin: float) -> None:
        """Run an exact choice to its end, bettering the plan meanwhile."""
        session, node_work = self.session, self.tunings.node_work
        choice.begin(session.seconds_left, session.work_left / node_work)
        if session.is_limited:
            # One after the other, so that it is the same on every run.
            while not choice.wait(POLL_SECONDS) and not session.over():
                pass
            session.spend(node_work * choice.nodes)
        while not choice.wait(0.0) and not self._over():
            self._go_on()
            self._take(choice, margin)
        choice.stop()
        choice.wait(self.tunings.stop_seconds)
        self._take(choice, margin)

    def _take(self, choice: Choice, margin: float) -> None:
        """Take plans and bound of an exact choice among all crew-days that lose up to `margin`."""
        for crew_days in choice.plans():
            self.improver.take(self.level.namer.draft(crew_days))
        bound = min(choice.bound(), self.level.relaxation.bound + margin)
        if math.isfinite(bound) and margin >= 0:
            self.session.raise_bound(whole_cents(bound - self.level.unsearched()))


def whole_cents(bound: float) -> int:
    """Return the least whole cost that is not below a bound, which may be rounded a little."""
    return math.ceil(bound - 1e-3) if math.isfinite(bound) else 0
