"""What nobody may take from a stop or law that the catalogue was seeded with; knows no row."""

from collections.abc import Collection, Iterator

from jobs.conditions.catalogue import CatalogueEntry
from jobs.conditions.problems import EntryProblem
from jobs.conditions.seed import ENTRIES
from jobs.conditions.sentences import Sentence
from jobs.conditions.sentences import marked as _
from jobs.conditions.states import LAW, STOP
from jobs.conditions.words import US

GUARDED_GATES = (STOP, LAW)
_WHOSE = {
    STOP: _("this stop is about safety, and nobody may weaken it"),
    LAW: _("this is a rule of law, and nobody may weaken it"),
}


def is_guarded(code: str) -> bool:
    """Tell whether the entry of this code was seeded as a stop or a law."""
    return code in ENTRIES and ENTRIES[code].gate in GUARDED_GATES


def weakenings(entry: CatalogueEntry, *, retired: bool = False) -> list[EntryProblem]:
    """Return all by which an edited entry asks less than the seeded stop or law; empty when fine.

    Its words, who of the others owes it and its days may change, and it may ask more: a law may
    become a stop, hold more steps, reach more houses.
    """
    if not is_guarded(entry.code):
        return []
    floor = ENTRIES[entry.code]
    whose = Sentence(_WHOSE[floor.gate])
    return [EntryProblem(field, whose) for field in _weaker(floor, entry, retired)]


def _weaker(floor: CatalogueEntry, entry: CatalogueEntry, retired: bool) -> Iterator[str]:
    checks = {
        "retired": retired,
        "gate": entry.gate not in (floor.gate, STOP),
        # What we owe ourselves holds up no plan.
        "owed_by": entry.owed_by == US and floor.owed_by != US,
        "holds": not set(floor.holds) <= set(entry.holds),
        "houses": entry.houses not in ("both", floor.houses),
        "spaces": _narrower(floor.spaces, entry.spaces),
        "covers": _narrower(floor.covers, entry.covers),
        "only_with": _narrower(floor.only_with, entry.only_with),
        "not_with": not entry.not_with <= floor.not_with,
        "built_before": _earlier(floor.built_before, entry.built_before),
        "may_take_over": entry.may_take_over,
        "never_waived": floor.never_waived and not entry.never_waived,
        "document": bool(floor.document) and not entry.document.strip(),
        "follows": not entry.follows <= floor.follows,
        "lag_after": _follows_other(floor, entry),
        "booked": floor.booked and not entry.booked,
        "valid_hours": _earlier(entry.valid_hours, floor.valid_hours),
    }
    return (field for field, weaker in checks.items() if weaker)


def _narrower(floor: Collection[str], edited: Collection[str]) -> bool:
    """Tell whether a choice of kinds, of which none means all, omits what the floor reaches."""
    return bool(edited) and (not floor or not set(floor) <= set(edited))


def _earlier(floor: int | None, edited: int | None) -> bool:
    """Tell whether a limit, of which none means never, comes before the floor's."""
    return edited is not None and (floor is None or edited < floor)


def _follows_other(floor: CatalogueEntry, entry: CatalogueEntry) -> bool:
    """Tell whether it follows other steps of ours than the floor; only days between may differ."""
    before, after = floor.lag_after, entry.lag_after
    if before is None or after is None:
        return before != after
    return (before.steps, before.only_then) != (after.steps, after.only_then)
