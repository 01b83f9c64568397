"""The stages of a solve: first plan, search, relaxation, exact choice; knows no files."""

from __future__ import annotations

import math

from scheduling.planning.assemble import arcs_of, plan_of
from scheduling.planning.dive import dive
from scheduling.planning.draft import Draft, Table, table_of
from scheduling.planning.finish import Choice
from scheduling.planning.level import TOLERANCE, Level
from scheduling.planning.master import CrewDay
from scheduling.planning.model import NEVER, Model, kinds_alike, kinds_by_name
from scheduling.planning.pairs import Pairs
from scheduling.planning.plan import Plan
from scheduling.planning.recreate import Search, first_draft
from scheduling.planning.relaxation import Listing
from scheduling.planning.session import Session
from scheduling.planning.standing import standing_part

# Rounds of ruin and recreate by job before the relaxation is begun, and at most.
ROUNDS_PER_JOB = 15
MOST_FIRST_ROUNDS = 1000
# A round of the relaxation counts as so many rounds of ruin and recreate.
RELAXATION_WORK = 50
# Rounds of ruin and recreate after every few of the relaxation: large ones take long.
BETWEEN_ROUNDS = 100
# Rounds of ruin and recreate after each dive, and dives beside an exact choice.
DIVE_ROUNDS = 400
DIVES = 6
# The first list for the exact choice holds crew-days that lose up to this share of the bound;
# the next ones so many times more.
FIRST_SHARE = 0.0015
WIDER = 2.5
# How often stays with two rests are taken into the relaxation and it is settled again.
PAIR_ROUNDS = 4
# How long to wait for an exact choice that was told to stop, in seconds.
STOP_SECONDS = 0.4
# A list longer than this is not worth choosing from: it would take too long.
LONGEST_LIST = 40_000


class Stages:
    """The stages of one solve, each ending as soon as the session is over."""

    def __init__(self, session: Session, seed: int) -> None:
        self.session = session
        self.seed = seed
        problem = session.problem
        self.named = Model(problem, kinds_by_name(problem))
        self.tables = [table_of(self.named, j) for j in range(len(problem.jobs))]
        self.pool: dict[CrewDay, None] = {}
        self.heard = 0
        self.choice: Choice | None = None

    def run(self, start: Plan | None) -> None:
        """Find a first plan, better it, bound it, choose exactly, better it until the end."""
        if not self._begin(start):
            return
        self.level = Level(
            self.named, self.tables, kinds_alike(self.session.problem), self.session.over
        )
        jobs = len(self.session.problem.jobs)
        self._search(min(MOST_FIRST_ROUNDS, ROUNDS_PER_JOB * jobs))
        self._relax()
        self._choose()
        if not self.session.over() and self.level.has_alike():
            self.level = self.level.by_name()
            self._choose()
        while not self.session.over():
            self._dive()

    def _begin(self, start: Plan | None) -> bool:
        """Offer a first plan; tell whether there is more to do."""
        session, draft = self.session, Draft(self.named, self.tables)
        if start is not None:
            _put_plan(draft, self.tables, start)
        draft = first_draft(draft)
        session.offer(plan_of(draft))
        self.search = Search(draft, self.seed, self._hear)
        if not session.problem.jobs or not session.problem.crews:
            session.raise_bound(session.cost)
        return not is_hopeless(self.named, self.tables) and not session.over()

    def _hear(self, draft: Draft) -> None:
        """Keep the crew-days of some of the drafts that the search goes through."""
        self.heard += 1
        if self.heard % 4 == 0 and hasattr(self, "level"):
            self.pool.update(dict.fromkeys(self.level.namer.crew_days(draft)))

    def _search(self, rounds: int) -> None:
        """Ruin and recreate, offering each better plan at once."""
        if not self.session.over():
            self.search.run(rounds, self._after_round)

    def _after_round(self) -> bool:
        self.session.spend(1)
        self._offer(self.search.best)
        return self.session.over() or (self.choice is not None and not self.choice.running)

    def _offer(self, draft: Draft) -> None:
        if draft.cost < self.session.cost or self.session.verdict.violations:
            self.session.offer(plan_of(draft))

    def _relax(self) -> None:
        """Solve the relaxation, raising the bound as it goes."""
        level = self.level
        self.pool.update(dict.fromkeys(level.namer.crew_days(self.search.best)))
        level.relaxation.master.add(self.pool)
        self._settle()
        self._dive()
        for _ in range(PAIR_ROUNDS):
            if self.session.over() or level.bound() >= level.relaxation.bound - TOLERANCE:
                break
            level.add_pairs(0.0)
            self._settle()
        self.session.raise_bound(whole_cents(level.bound(exactly=not self.session.over())))

    def _settle(self) -> None:
        """Do rounds of the relaxation until its value is near enough to the bound."""
        session, level = self.session, self.level
        rounds, goes_on = 0, True
        while goes_on and not session.over():
            goes_on = level.relaxation.round(session.seconds_left)
            session.spend(RELAXATION_WORK)
            rounds += 1
            if rounds % 5 == 0:
                session.raise_bound(whole_cents(level.bound(exactly=False)))
                self._search(BETWEEN_ROUNDS)
                level.relaxation.master.add(level.namer.crew_days(self.search.best))

    def _list(self, share: float) -> Listing | None:
        """Return the crew-days worth choosing from: a share of the bound, no more than the gap."""
        relaxation = self.level.relaxation
        return relaxation.within(self._margin(share), LONGEST_LIST, self.session.over)

    def _margin(self, share: float) -> float:
        bound = self.level.relaxation.bound
        return max(0.0, min(share * bound, self.session.cost - bound))

    def _dive(self) -> None:
        """Round the relaxation to a plan, complete it and better it."""
        session, master = self.session, self.level.relaxation.master
        if session.over():
            return
        chosen = dive(master, self.search.draw, session.over, lambda: session.seconds_left)
        session.spend(RELAXATION_WORK)
        draft = first_draft(self.level.namer.draft(chosen))
        self._offer(draft)
        self.search.restart(draft)
        self._search(DIVE_ROUNDS)

    def _choose(self) -> None:
        """Choose exactly among longer and longer lists of crew-days until the plan is proven."""
        session, level, share = self.session, self.level, FIRST_SHARE
        while not session.over():
            others = level.add_pairs(self._margin(share))
            if not math.isfinite(level.relaxation.bound):
                self._settle()
            listing = self._list(share)
            if listing is None:
                return
            relaxation = level.relaxation
            relaxation.master.add(listing.crew_days)
            if share == FIRST_SHARE:
                self._dive()
            if session.over():
                return
            best = self.level.namer.crew_days(self.search.best)
            choice = Choice(relaxation.market, listing.crew_days, best)
            self._watch(choice, min(listing.margin, others))
            if not choice.optimal or listing.margin >= session.cost - relaxation.bound:
                return
            share *= WIDER

    def _watch(self, choice: Choice, margin: float) -> None:
        """Run an exact choice to its end, searching on meanwhile."""
        session = self.session
        choice.begin(session.seconds_left)
        self.choice, dives = choice, 0
        while not choice.wait(0.0) and not session.over():
            if dives < DIVES:
                self._dive()
                dives += 1
            else:
                self.search.restart(self.search.best)
                self._search(DIVE_ROUNDS)
            self._take(choice, margin)
        choice.stop()
        choice.wait(STOP_SECONDS)
        self.choice = None
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
