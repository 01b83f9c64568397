"""Betters the plan of a solve: search, dives, parts chosen anew; proves nothing."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from scheduling.planning.columns.master import CrewDay
from scheduling.planning.columns.model import Model
from scheduling.planning.edit.feasible import feasible_part
from scheduling.planning.plan import Plan
from scheduling.planning.proof.level import Level
from scheduling.planning.search.assemble import arcs_of, plan_of
from scheduling.planning.search.dive import Dive
from scheduling.planning.search.draft import Draft, JobTable
from scheduling.planning.search.naming import Namer
from scheduling.planning.search.recreate import Search, first_draft
from scheduling.planning.search.repack import Repack
from scheduling.planning.session import Session
from scheduling.planning.tunings import Tunings


@dataclass(frozen=True)
class Packing:
    """A repack with the names for its crew-days."""

    namer: Namer
    repack: Repack

    def better(self, search: Search, seconds: float | None) -> None:
        """Choose a part of the search's best draft anew; the search goes on from a better one."""
        found = self.repack.round(self.namer.crew_days(search.best), seconds)
        if found is not None:
            draft = first_draft(self.namer.draft(found))
            if draft.cost < search.best_cost:
                search.restart(draft)


class Improver:
    """Looks for better plans around the best one, and offers each to the session at once.

    `level` is there as soon as the relaxation is: dives and parts chosen anew go by its prices.
    """

    level: Level

    def __init__(
        self, session: Session, tables: list[JobTable], draft: Draft, seed: int, tunings: Tunings
    ) -> None:
        self.session = session
        self.tables = tables
        self.tunings = tunings
        self.search = Search(draft, seed)
        self.packings: list[Packing] = []
        self.rounds = 0

    def search_on(self, rounds: int, warmth: float = 1.0) -> None:
        """Ruin and recreate, offering each better plan at once."""
        if not self.session.over():
            self.search.run(rounds, self._after_round, warmth)

    def _after_round(self) -> bool:
        self.session.spend(1)
        self.offer(self.search.best)
        return self.session.over()

    def offer(self, draft: Draft) -> None:
        """Offer a draft's plan where it is better than the best one."""
        if draft.cost < self.session.cost or self.session.verdict.violations:
            self.session.offer(plan_of(draft))

    def take(self, draft: Draft) -> None:
        """Offer a draft that was found elsewhere; go on from it where it is the best."""
        self.offer(draft)
        if draft.cost < self.search.best_cost:
            self.search.restart(draft)

    def take_plan(self, named: Model, plan: Plan) -> None:
        """Offer a plan that was found elsewhere; go on from it where it is the best."""
        if self.session.offer(plan):
            draft = Draft(named, self.tables)
            put_plan(draft, self.tables, plan)
            self.search.restart(first_draft(draft))

    def better(self) -> None:
        """Choose parts of the best plan anew, search around it, now and then begin elsewhere."""
        tunings = self.tunings
        if self.rounds == 0:
            self._first_dives()
        elif self.rounds % tunings.dive_every == 0:
            self._dive()
        self.rounds += 1
        packings = self._all_packings()
        if packings:
            for _ in range(tunings.parts):
                self._repack(packings[self.rounds % len(packings)])
        self.search.restart(self.search.best)
        self.search_on(tunings.short_rounds, tunings.lukewarm)

    def begin_with_dives(self) -> None:
        """Do the first dives, which else the first round does."""
        self._first_dives()
        self.rounds += 1

    def _first_dives(self) -> None:
        session = self.session
        until = session.share_left - self.tunings.dive_time
        for _ in range(self.tunings.first_dives):
            if not session.is_limited and session.share_left < until:
                return
            self._dive()

    def _dive(self) -> None:
        """Round the relaxation to a plan, complete it and better it."""
        session, relaxation = self.session, self.level.relaxation
        if session.over() or not math.isfinite(relaxation.bound):
            return
        near = relaxation.master.near(self.tunings.dive_share * relaxation.bound)
        chosen = Dive(relaxation.master.rows, near, self.search.draw, session.over).run(
            lambda: session.seconds_left
        )
        session.spend(self.tunings.relaxation_work)
        draft = first_draft(self.level.namer.draft(chosen))
        self.offer(draft)
        self.search.restart(draft)
        self.search_on(self.tunings.dive_rounds)

    def _repack(self, packing: Packing) -> None:
        session = self.session
        if not session.over():
            packing.better(self.search, None if session.is_limited else session.seconds_left)
            session.spend(self.tunings.relaxation_work)
            self.offer(self.search.best)

    def _all_packings(self) -> list[Packing]:
        """Return the choices of parts anew: by kinds of crew, and by name, which sees hand-offs.

        None where there are no prices yet.
        """
        if not self.packings and self.level.relaxation.prices is not None:
            relaxation, tunings = self.level.relaxation, self.tunings
            near = relaxation.master.near(tunings.dive_share * relaxation.bound)
            self._add_packing(self.level, near)
            if self.level.has_alike():
                named = self.level.by_name()
                share, most = tunings.repack_share, tunings.longest_repack
                listing = self.level.listing(self.session, share, most, named.relaxation)
                self._add_packing(named, listing.crew_days if listing else [])
        return self.packings

    def _add_packing(self, level: Level, crew_days: Iterable[CrewDay]) -> None:
        repack = Repack(level.market, crew_days, self.search.draw, self.session.over)
        self.packings.append(Packing(level.namer, repack))


def put_plan(draft: Draft, tables: list[JobTable], start: Plan) -> None:
    """Put into the draft what stands of a plan."""
    plan, _ = feasible_part(draft.model.problem, start)
    for j, table in enumerate(tables):
        arcs = arcs_of(draft.model, table.stays, plan, j)
        if arcs:
            draft.put(j, arcs)
