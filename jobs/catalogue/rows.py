"""Condition rows as the pure rules see them; asks no database beyond the row at hand."""

from datetime import date

from contractor.events import Actor
from contractor.models import Event, User
from jobs.conditions.catalogue import CatalogueEntry
from jobs.conditions.entry_json import entry_of_json
from jobs.conditions.readiness import JobCondition
from jobs.conditions.seed import ENTRIES
from jobs.conditions.states import Mover, Terms
from jobs.models import Condition

Columns = tuple[str, str, str, str, str, list[str], date | None, str | None, int | None]
CONDITION_COLUMNS = (
    "code",
    "name",
    "owed_by",
    "gate",
    "state",
    "holds",
    "promised_for",
    "entry__code",
    "entry__lead_days",
)


def condition_of_columns(columns: Columns) -> JobCondition:
    """Return the condition of these columns of a row, in the order of CONDITION_COLUMNS."""
    code, name, owed_by, gate, state, holds, promised_for, own_entry, lead_days = columns
    if own_entry is None and code in ENTRIES:
        lead_days = ENTRIES[code].lead_days
    known = (code, name, owed_by, gate, state, tuple(holds), promised_for)
    return JobCondition(*known, lead_days=lead_days or 0)


def job_condition(row: Condition) -> JobCondition:
    """Return the condition as readiness is reckoned from it."""
    known = (row.code, row.name, row.owed_by, row.gate, row.state, row.holds, row.promised_for)
    return condition_of_columns((*known, row.entry.get("code"), row.entry.get("lead_days")))


def entry_of(row: Condition) -> CatalogueEntry | None:
    """Return the catalogue's entry as the job took it; what was edited there since is not in it.

    Rows from before the catalogue could be edited keep none: they were made from the seed.
    """
    return entry_of_json(row.entry) if row.entry else ENTRIES.get(row.code)


def terms_of(row: Condition) -> Terms:
    """Return what decides about moves: the row's own gate, and its entry's word on the rest."""
    entry = entry_of(row)
    if entry is None:
        return Terms(row.gate)
    return Terms(row.gate, entry.may_take_over, entry.never_waived, entry.document)


def mover_of_user(user: User) -> Mover:
    """Return who moves, of a person with an account."""
    return Mover(user.role, user.may_clear_stop)


def mover_of(actor: Actor) -> Mover:
    """Say who moves a condition: a person by role, a superintendent by link, a command as owner."""
    if actor.user is not None:
        return mover_of_user(actor.user)
    return Mover("superintendent" if actor.source == Event.Source.LINK else "owner")
