"""Reads from a check that a crew did others' work how much of it there was; keeps nothing."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any

from jobs.catalogue.rows import entry_of
from jobs.conditions.sentences import marked as _
from jobs.conditions.taken_over import work_of
from jobs.conditions.words import US
from jobs.estimating.taken_over import MeasureError, Taken, taken_check
from jobs.models import Condition

OURS = _("It is ours already: our own step brings it about.")
NOT_COUNTED = _("The catalogue does not say by what this work is counted.")
NOBODY_AGREED = _("It is not said who agreed that we do it.")
MOST_WHO = 120
MOST_NOTE = 150


@dataclass(frozen=True)
class Agreed:
    """Work that we did in somebody's place: how much, who agreed, what was said of it."""

    taken: Taken
    agreed_by: str
    note: str
    inspect_again: bool


class NotAgreed(ValueError):
    """What was said does not make a taking over; its text says why."""


def agreed_read(what: Mapping[str, Any], row: Condition) -> Agreed:
    """Read the measures and who agreed. Raises NotAgreed."""
    entry = entry_of(row)
    measure = entry.measure if entry else ""
    if row.owed_by == US:
        raise NotAgreed(OURS)
    if work_of(measure, row.holds) is None:
        raise NotAgreed(NOT_COUNTED)
    agreed_by = str(what.get("agreed_by", "")).strip()[:MOST_WHO]
    if not agreed_by:
        raise NotAgreed(NOBODY_AGREED)
    return Agreed(
        taken=_taken(what, measure),
        agreed_by=agreed_by,
        note=str(what.get("note", "")).strip()[:MOST_NOTE],
        inspect_again=what.get("inspect_again") in ("1", "on", "true", "True"),
    )


def _taken(what: Mapping[str, Any], measure: str) -> Taken:
    length_ft = _number(what, "length_ft")
    flues = _number(what, "flues") or Decimal(0)
    if flues != int(flues):
        raise NotAgreed("flues: expected a whole number.")
    taken = Taken(measure, _number(what, "amount") or Decimal(0), int(flues), length_ft)
    try:
        taken_check(taken)
    except MeasureError as wrong:
        raise NotAgreed(f"{wrong}.") from wrong
    return taken


def _number(what: Mapping[str, Any], name: str) -> Decimal | None:
    """Return a number with no more than two places, as the charge keeps it."""
    text = str(what.get(name, "")).strip()[:40]
    if not text:
        return None
    try:
        number = Decimal(text)
    except InvalidOperation as wrong:
        raise NotAgreed(f"{name}: expected a number.") from wrong
    if not number.is_finite() or number.adjusted() > 5:
        raise NotAgreed(f"{name}: expected a number below 1,000,000.")
    return round(number, 2)
