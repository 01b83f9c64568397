"""Which conditions a job needs and what lags they set between its steps; knows no row or date."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from jobs.conditions.catalogue import CatalogueEntry, LagAfter
from jobs.conditions.sentences import Sentence
from jobs.conditions.sentences import marked as _
from jobs.conditions.taken_over import like
from jobs.conditions.words import COVERS, FACTS, SPACE_KINDS, STEP_NAMES, US, known

FOLLOWS = _("%(name)s: follows our %(step)s; working days of others: %(days)d")
NEXT_DAY = _("%(name)s: follows our %(step)s; not on the same day")
NO_COVER = frozenset({"none"})


@dataclass(frozen=True)
class NeededCondition:
    """A condition of one job: who owes it, its gate, and the job's steps that wait for it.

    met_by names the kind of our own step that brings it about; it is then owed by us, and the
    order of the steps sees to it.
    """

    code: str
    owed_by: str
    gate: str
    holds: tuple[str, ...]
    met_by: str = ""


class StepLag(NamedTuple):
    """Days from the end of the step before to the earliest start, and why.

    n whole working days of other trades between the two make n + 1.
    """

    lag_days: int
    reasons: tuple[Sentence, ...]


@dataclass(frozen=True)
class Traits:
    """What of a job decides about its conditions."""

    spaces: frozenset[str]
    steps: tuple[str, ...]
    year_built: int | None
    covers: frozenset[str]
    facts: frozenset[str]


def conditions_needed(
    spaces: Collection[str],
    step_kinds: Sequence[str],
    year_built: int | None,
    *,
    covers: Collection[str] = (),
    facts: Collection[str] = (),
    catalogue: Iterable[CatalogueEntry],
) -> list[NeededCondition]:
    """Return the conditions of one job, in the catalogue's order.

    spaces: kinds of its spaces. step_kinds: kinds of its steps, in the order of work.
    year_built: None for a new house. covers: of its slopes; slopes without one count as open.
    facts: words of `words.FACTS`. catalogue: its entries, in order. ValueError names a
    word that does not exist.
    """
    traits = _traits(spaces, step_kinds, year_built, covers, facts)
    found = (_needed(entry, traits) for entry in catalogue if _applies(entry, traits))
    return [condition for condition in found if condition]


def step_lags(
    step_kinds: Sequence[str],
    is_new_house: bool,
    covers: Collection[str] = (),
    *,
    spaces: Collection[str] = SPACE_KINDS,
    facts: Collection[str] = (),
    done: Collection[str] = (),
    catalogue: Iterable[CatalogueEntry],
) -> dict[str, StepLag]:
    """Return the lag before each kind of step that others must work ahead of, after our own steps.

    In a new house the insulation inspection and the ceiling board follow our walls and open
    slopes, so a flat blow starts 1 + 2 whole days later: a lag of 4. Steps without a lag are left
    out. spaces: kinds of the job's spaces, all kinds when left out. done: codes of conditions that
    are true already; their days drop out.
    """
    # The year of an old house is not asked for: any will do, and an early one leaves nothing out.
    job = _traits(spaces, step_kinds, None if is_new_house else 0, covers, facts)
    waits: dict[str, list[tuple[CatalogueEntry, LagAfter, str]]] = {}
    for entry in catalogue:
        last = _last_of_ours_before(entry, job)
        if last is None or not entry.lag_after or entry.code in done or not _applies(entry, job):
            continue
        target = next((step for step in job.steps[last + 1 :] if like(step) in entry.holds), None)
        if target:
            waits.setdefault(target, []).append((entry, entry.lag_after, job.steps[last]))
    return {step: _lag(entries) for step, entries in waits.items()}


def _traits(
    spaces: Collection[str],
    step_kinds: Sequence[str],
    year_built: int | None,
    covers: Collection[str],
    facts: Collection[str],
) -> Traits:
    space_kinds = known("space", spaces, SPACE_KINDS)
    known("step", step_kinds, STEP_NAMES)
    given = known("cover", covers, COVERS)
    return Traits(
        space_kinds,
        tuple(step_kinds),
        year_built,
        given or (NO_COVER if "slope_bays" in space_kinds else given),
        known("fact", facts, FACTS),
    )


def _applies(entry: CatalogueEntry, job: Traits) -> bool:
    return (
        entry.houses in ("both", "new" if job.year_built is None else "old")
        and (not entry.spaces or bool(entry.spaces & job.spaces))
        and (not entry.covers or bool(entry.covers & job.covers))
        and (not entry.only_with or bool(entry.only_with & job.facts))
        and not entry.not_with & job.facts
        and (entry.built_before is None or (job.year_built or 0) < entry.built_before)
    )


def _needed(entry: CatalogueEntry, job: Traits) -> NeededCondition | None:
    last = _last_of_ours_before(entry, job)
    if last is None and entry.lag_after and entry.lag_after.only_then:
        return None
    # What follows a step of ours cannot hold a step that comes before that one.
    later = job.steps if last is None else job.steps[last + 1 :]
    holds = tuple(step for step in later if like(step) in entry.holds)
    if not holds and not (entry.lag_after and entry.lag_after.only_then):
        return None
    met_by = next((step for step in job.steps if step in entry.follows), "")
    owed_by = US if met_by else entry.owed_by
    return NeededCondition(entry.code, owed_by, entry.gate, holds, met_by)


def _last_of_ours_before(entry: CatalogueEntry, job: Traits) -> int | None:
    """Return where the last of our steps stands that the entry follows, if it follows any."""
    if entry.lag_after is None:
        return None
    places = [
        place
        for place, step in enumerate(job.steps)
        if step in entry.lag_after.steps and not _is_behind_board(step, job)
    ]
    return max(places, default=None)


def _is_behind_board(step: str, job: Traits) -> bool:
    # Slopes filled behind board: the drywaller has been there, nothing is left open to inspect.
    return step == "slope_blow" and job.covers == frozenset({"board"})


def _lag(waits: list[tuple[CatalogueEntry, LagAfter, str]]) -> StepLag:
    reasons = (
        Sentence(
            FOLLOWS if after.trade_days else NEXT_DAY,
            {"name": entry.name, "step": STEP_NAMES[ours], "days": after.trade_days},
        )
        for entry, after, ours in waits
    )
    return StepLag(sum(after.trade_days for _, after, _ in waits) + 1, tuple(reasons))
