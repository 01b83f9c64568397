"""Condition rows as the pure rules see them; asks no database beyond the row at hand."""

from contractor.models import User
from jobs.conditions.readiness import JobCondition
from jobs.conditions.seed import ENTRIES
from jobs.conditions.states import Mover, Terms
from jobs.models import Condition


def job_condition(row: Condition) -> JobCondition:
    """The condition as readiness is reckoned from it."""
    return JobCondition(
        code=row.code,
        name=row.name,
        owed_by=row.owed_by,
        gate=row.gate,
        state=row.state,
        holds=tuple(row.holds),
        promised=row.promised_for,
    )


def terms_of(row: Condition) -> Terms:
    """What decides about moves: the row's own gate, and the catalogue's word on the rest."""
    entry = ENTRIES.get(row.code)
    if entry is None:
        return Terms(row.gate)
    return Terms(row.gate, entry.may_take_over, entry.never_waived, entry.document)


def mover_of_user(user: User) -> Mover:
    """Who moves, of a person with an account."""
    return Mover(user.role, user.may_clear_stop)
