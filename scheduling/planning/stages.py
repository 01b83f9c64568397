"""The stages of a solve: first plan, search, proof with a plan bettered beside; knows no files."""

from __future__ import annotations

from contextlib import suppress

from scheduling.planning.columns.model import NEVER, Model, kinds_by_name
from scheduling.planning.columns.pairs import Pairs, TimeUp
from scheduling.planning.improver import Improver, put_plan
from scheduling.planning.plan import Plan
from scheduling.planning.prover import Prover
from scheduling.planning.search.assemble import plan_of
from scheduling.planning.search.draft import Draft, JobTable, table_of
from scheduling.planning.search.posted import put_posted
from scheduling.planning.search.recreate import first_draft
from scheduling.planning.second_core import SecondCore
from scheduling.planning.session import Session
from scheduling.planning.tunings import Tunings

USUAL = Tunings()


def stages_run(
    session: Session, start: Plan | None, *, seed: int, workers: int, tunings: Tunings = USUAL
) -> None:
    """Find a first plan, better it, bound it, choose exactly, better it until the end.

    Each stage ends as soon as the session is over.
    """
    problem = session.problem
    named = Model(problem, kinds_by_name(problem))
    tables = [table_of(named, j) for j in range(len(problem.jobs))]
    draft = _first_plan(session, named, tables, start)
    if is_hopeless(named, tables) or session.over():
        return
    improver = Improver(session, tables, draft, seed, tunings)
    improver.search_on(_first_rounds(session, tunings))
    if session.over():
        return
    # What goes on beside the search ends when it ends: not the same on every run.
    is_beside = workers > 1 and not session.is_limited
    second_core = SecondCore(session, improver, named, is_there=is_beside)
    try:
        with suppress(TimeUp):
            Prover(session, improver, second_core, workers, tunings).prove(named, tables)
    finally:
        second_core.end()


def _first_plan(
    session: Session, named: Model, tables: list[JobTable], start: Plan | None
) -> Draft:
    """Offer a first plan; what is empty is proven at once."""
    draft = Draft(named, tables)
    if start is not None:
        put_plan(draft, tables, start)
    put_posted(draft)
    draft = first_draft(draft)
    session.offer(plan_of(draft))
    if not session.problem.jobs or not session.problem.crews:
        session.raise_bound(session.cost)
    return draft


def _first_rounds(session: Session, tunings: Tunings) -> int:
    posted = bool(session.problem.posted)
    by_job = tunings.rounds_per_posted_job if posted else tunings.rounds_per_job
    return min(tunings.most_first_rounds, by_job * len(session.problem.jobs))


def is_hopeless(model: Model, tables: list[JobTable]) -> bool:
    """Tell whether some job has something fixed and no way at all to be done."""
    pairs = {family.job for family in Pairs(model).families} if model.problem.fixed else set()
    return any(
        model.left_out_cost(j, 0) >= NEVER
        and all((run.cost >= NEVER).all() for run in table.runs)
        and not table.stays
        and j not in pairs
        for j, table in enumerate(tables)
    )
