"""The stages of a solve: first plan, search, relaxation, exact choice; knows no files."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass

from scheduling.planning.beside import Beside
from scheduling.planning.columns.master import CrewDay
from scheduling.planning.columns.model import NEVER, Model, kinds_alike, kinds_by_name
from scheduling.planning.columns.pairs import Pairs, TimeUp
from scheduling.planning.columns.relaxation import Listing
from scheduling.planning.edit.standing import standing_part
from scheduling.planning.plan import Plan
from scheduling.planning.proof.finish import Choice
from scheduling.planning.proof.level import Level
from scheduling.planning.search.assemble import arcs_of, plan_of
from scheduling.planning.search.dive import Dive
from scheduling.planning.search.draft import Draft, Table, table_of
from scheduling.planning.search.naming import Namer
from scheduling.planning.search.posted import put_posted
from scheduling.planning.search.recreate import Search, first_draft
from scheduling.planning.search.repack import Repack
from scheduling.planning.session import POLL_SECONDS, Session

# Rounds of ruin and recreate by job before the relaxation is begun, and at most.
ROUNDS_PER_JOB = 6
MOST_FIRST_ROUNDS = 600
# A round of the relaxation, a dive, a part chosen anew count as so many rounds of ruin and
# recreate.
RELAXATION_WORK = 50
# So does a node of the exact choice.
NODE_WORK = 10
# The relaxation has this share of the time before a plan near to it is looked for, and that
# one in all.
RELAXATION_TIME, LAST_RELAXATION_TIME = 0.62, 0.9
# Rounds of ruin and recreate after each dive, and after parts of a plan were chosen anew.
DIVE_ROUNDS = 150
SHORT_ROUNDS = 60
LUKEWARM = 0.3
# So many parts are chosen anew between two searches, and so many searches between two dives.
PARTS = 5
DIVE_EVERY = 8
# Dives differ a lot: so many are begun with, fewer where they take more of the time than this.
FIRST_DIVES = 5
DIVE_TIME = 0.1
# The first list for the exact choice holds crew-days that lose up to this share of the bound,
# or less; the next ones so many times more.
FIRST_SHARE = 0.002
WIDER = 2.5
# A dive has crew-days that lose up to this share of the bound to round to.
DIVE_SHARE = 0.01
# Parts of a plan are chosen anew among crew-days that lose up to this share of the bound,
# less where they are too many.
REPACK_SHARE = 0.002
LONGEST_REPACK = 5000
# How often stays with two rests are taken into the relaxation and it is settled again; they
# are left out where they lower the bound by less than this share of it.
CHAIN_ROUNDS = 8
SMALL_LOSS = 0.0002
# The bound of a relaxation that is still being solved is looked at every so many rounds, once
# it is so near to its value: at prices that are far off too many stays seem to gain.
BOUND_EVERY = 6
NEARLY, ROUGHLY = 0.03, 0.3
# How long to wait for an exact choice that was told to stop, in seconds.
STOP_SECONDS = 0.4
# The first list is no longer than this; later ones are not worth choosing from when they are
# longer than that: it would take too long.
SHORT_LIST = 3_000
LONGEST_LIST = 40_000


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


class Stages:
    """The stages of one solve, each ending as soon as the session is over."""

    def __init__(self, session: Session, seed: int, workers: int) -> None:
        self.session = session
        self.seed = seed
        # What goes on beside the search ends when it ends: not the same on every run.
        self.workers = workers
        self.is_beside = workers > 1 and not session.is_limited
        problem = session.problem
        self.named = Model(problem, kinds_by_name(problem))
        self.tables = [table_of(self.named, j) for j in range(len(problem.jobs))]
        self.packings: list[Packing] = []
        self.rounds = 0
        self.beside: Beside | None = None

    def run(self, start: Plan | None) -> None:
        """Find a first plan, better it, bound it, choose exactly, better it until the end."""
        if not self._begin(start):
            return
        jobs = len(self.session.problem.jobs)
        posted = bool(self.session.problem.posted)
        self._search(min(MOST_FIRST_ROUNDS, (2 if posted else ROUNDS_PER_JOB) * jobs))
        if self.session.over():
            return
        try:
            with suppress(TimeUp):
                self._prove()
        finally:
            self._end_beside()

    def _prove(self) -> None:
        """Bound the plan and choose exactly; better the plan meanwhile."""
        kinds = kinds_alike(self.session.problem)
        self.level = Level(self.named, self.tables, kinds, self._over)
        self._relax()
        self._choose()
        if not self._over() and self.level.has_alike():
            self.level = self.level.by_name()
            self._choose()
        while not self._over():
            self._go_on()

    def _over(self) -> bool:
        """Tell whether to end; take the plans that were found beside."""
        self._take_beside()
        return self.session.over()

    def _begin_beside(self, work: Callable[[], None]) -> None:
        """Let a copy of this process do the work and send its better plans."""
        self._end_beside()
        if not self.is_beside or self.session.over():
            return

        def work_on(send: Callable[[Plan], None]) -> None:
            self.beside = None
            self.session.go_on_apart(send)
            self.search.draw.seed(self.search.draw.random())
            while not self.session.over():
                work()

        self.beside = Beside(work_on)

    def _take_beside(self) -> None:
        for plan in self.beside.plans() if self.beside else ():
            if self.session.offer(plan):
                draft = Draft(self.named, self.tables)
                _put_plan(draft, self.tables, plan)
                self.search.restart(first_draft(draft))

    def _end_beside(self) -> None:
        self._take_beside()
        if self.beside:
            self.beside.stop()

    def _go_on(self) -> None:
        """Better the plan, or wait a moment for who does so beside."""
        if self.beside is not None and self.beside.running:
            time.sleep(POLL_SECONDS)
        else:
            self._better()

    def _begin(self, start: Plan | None) -> bool:
        """Offer a first plan; tell whether there is more to do."""
        session, draft = self.session, Draft(self.named, self.tables)
        if start is not None:
            _put_plan(draft, self.tables, start)
        put_posted(draft)
        draft = first_draft(draft)
        session.offer(plan_of(draft))
        self.search = Search(draft, self.seed)
        if not session.problem.jobs or not session.problem.crews:
            session.raise_bound(session.cost)
        return not is_hopeless(self.named, self.tables) and not session.over()

    def _search(self, rounds: int, warmth: float = 1.0) -> None:
        """Ruin and recreate, offering each better plan at once."""
        if not self.session.over():
            self.search.run(rounds, self._after_round, warmth)

    def _after_round(self) -> bool:
        self.session.spend(1)
        self._offer(self.search.best)
        return self.session.over()

    def _offer(self, draft: Draft) -> None:
        if draft.cost < self.session.cost or self.session.verdict.violations:
            self.session.offer(plan_of(draft))

    def _relax(self) -> None:
        """Solve the relaxation, raising the bound as it goes."""
        level = self.level
        level.relaxation.master.add(level.namer.crew_days(self.search.best))
        try:
            if self.workers > 1:
                level.relaxation.begin_beside()
            self._settle()
        finally:
            level.relaxation.end_beside()
        self._begin_beside(self._better)
        if self.beside is not None:
            # A large one is not settled yet: a plan near to it is looked for meanwhile.
            self._settle(LAST_RELAXATION_TIME)
        if self._is_near(ROUGHLY):
            self._raise_bound()
        if self.beside is None:
            self._first_dives()
            self.rounds += 1
        for _ in range(CHAIN_ROUNDS):
            lost = level.relaxation.bound - level.bound()
            if self._over() or lost <= SMALL_LOSS * level.relaxation.bound:
                break
            if not level.add_gaining():
                break
            self._settle()
            self._raise_bound()

    def _settle(self, share: float = RELAXATION_TIME) -> None:
        """Do rounds of the relaxation until it is settled, or so much of the time is over."""
        session, level = self.session, self.level
        rounds, goes_on = 0, not level.relaxation.settled
        while goes_on and not self._over() and not self._is_late(share):
            goes_on = level.relaxation.round(session.seconds_left)
            session.spend(RELAXATION_WORK)
            rounds += 1
            if rounds % BOUND_EVERY == 0 and self._is_near(NEARLY):
                self._raise_bound()

    def _is_near(self, share: float) -> bool:
        relaxation = self.level.relaxation
        return relaxation.bound > (1 - share) * relaxation.value

    def _is_late(self, share: float) -> bool:
        return not self.session.is_limited and self.session.share_left < 1 - share

    def _raise_bound(self) -> None:
        with suppress(TimeUp):
            self.session.raise_bound(whole_cents(self.level.bound()))

    def _list(self, share: float, most: int, level: Level) -> Listing | None:
        """Return the crew-days worth choosing from: a share of the bound, no more than the gap.

        A smaller share where they would be more than `most`; None where time ran out.
        """
        while not self.session.over():
            margin = self._margin(share)
            listing = level.relaxation.within(margin, most, self.session.over)
            if listing is not None:
                return listing
            share /= 2
        return None

    def _margin(self, share: float) -> float:
        bound = self.level.relaxation.bound
        return max(0.0, min(share * bound, self.session.cost - bound))

    def _dive(self) -> None:
        """Round the relaxation to a plan, complete it and better it."""
        session, relaxation = self.session, self.level.relaxation
        if session.over() or not math.isfinite(relaxation.bound):
            return
        near = relaxation.master.near(DIVE_SHARE * relaxation.bound)
        chosen = Dive(relaxation.master.rows, near, self.search.draw, session.over).run(
            lambda: session.seconds_left
        )
        session.spend(RELAXATION_WORK)
        draft = first_draft(self.level.namer.draft(chosen))
        self._offer(draft)
        self.search.restart(draft)
        self._search(DIVE_ROUNDS)

    def _choose(self) -> None:
        """Choose exactly among longer and longer lists of crew-days until the plan is proven."""
        session, level, share, most = self.session, self.level, FIRST_SHARE, SHORT_LIST
        while not session.over():
            others = level.add_pairs(self._margin(share))
            listing = self._list(share, most, level)
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
            share, most = WIDER * listing.margin / relaxation.bound, LONGEST_LIST

    def _watch(self, choice: Choice, margin: float) -> None:
        """Run an exact choice to its end, bettering the plan meanwhile."""
        session = self.session
        choice.begin(session.seconds_left, session.work_left / NODE_WORK)
        if session.is_limited:
            # One after the other, so that it is the same on every run.
            while not choice.wait(POLL_SECONDS) and not session.over():
                pass
            session.spend(NODE_WORK * choice.nodes)
        while not choice.wait(0.0) and not self._over():
            self._go_on()
            self._take(choice, margin)
        choice.stop()
        choice.wait(STOP_SECONDS)
        self._take(choice, margin)

    def _take(self, choice: Choice, margin: float) -> None:
        """Take plans and bound of an exact choice among all crew-days that lose up to `margin`."""
        for crew_days in choice.plans():
            draft = self.level.namer.draft(crew_days)
            self._offer(draft)
            if draft.cost < self.search.best_cost:
                self.search.restart(draft)
        bound = min(choice.bound(), self.level.relaxation.bound + margin)
        if math.isfinite(bound) and margin >= 0:
            self.session.raise_bound(whole_cents(bound - self.level.unsearched()))

    def _better(self) -> None:
        """Choose parts of the best plan anew, search around it, now and then begin elsewhere."""
        if self.rounds == 0:
            self._first_dives()
        elif self.rounds % DIVE_EVERY == 0:
            self._dive()
        self.rounds += 1
        packings = self._all_packings()
        if packings:
            for _ in range(PARTS):
                self._repack(packings[self.rounds % len(packings)])
        self.search.restart(self.search.best)
        self._search(SHORT_ROUNDS, LUKEWARM)

    def _first_dives(self) -> None:
        session, until = self.session, self.session.share_left - DIVE_TIME
        for _ in range(FIRST_DIVES):
            if not session.is_limited and session.share_left < until:
                return
            self._dive()

    def _repack(self, packing: Packing) -> None:
        session = self.session
        if not session.over():
            packing.better(self.search, None if session.is_limited else session.seconds_left)
            session.spend(RELAXATION_WORK)
            self._offer(self.search.best)

    def _all_packings(self) -> list[Packing]:
        """Return the choices of parts anew: by kinds of crew, and by name, which sees hand-offs.

        None where there are no prices yet.
        """
        if not self.packings and self.level.relaxation.prices is not None:
            relaxation = self.level.relaxation
            near = relaxation.master.near(DIVE_SHARE * relaxation.bound)
            self._add_packing(self.level, near)
            if self.level.has_alike():
                named = self.level.by_name()
                listing = self._list(REPACK_SHARE, LONGEST_REPACK, named)
                self._add_packing(named, listing.crew_days if listing else [])
        return self.packings

    def _add_packing(self, level: Level, crew_days: Iterable[CrewDay]) -> None:
        repack = Repack(level.market, crew_days, self.search.draw, self.session.over)
        self.packings.append(Packing(level.namer, repack))


def whole_cents(bound: float) -> int:
    """Return the least whole cost that is not below a bound, which may be rounded a little."""
    return math.ceil(bound - 1e-3) if math.isfinite(bound) else 0


def is_hopeless(model: Model, tables: list[Table]) -> bool:
    """Tell whether some job has something fixed and no way at all to be done."""
    pairs = {family.job for family in Pairs(model).families} if model.problem.fixed else set()
    return any(
        model.left_out_cost(j, 0) >= NEVER
        and all((run.cost >= NEVER).all() for run in table.runs)
        and not table.stays
        and j not in pairs
        for j, table in enumerate(tables)
    )


def _put_plan(draft: Draft, tables: list[Table], start: Plan) -> None:
    """Put into the draft what stands of a plan."""
    plan, _ = standing_part(draft.model.problem, start)
    for j, table in enumerate(tables):
        arcs = arcs_of(draft.model, table.stays, plan, j)
        if arcs:
            draft.put(j, arcs)
