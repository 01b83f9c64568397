"""Where crews were turned away for good: what was posted there was not done; no plan."""

from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from scheduling.models import Fact

Kind = Fact.Kind
# A part's crew, house and day, as the query of parts names them.
_VISIT = {"crew": "stop__crew_day__crew", "job": "stop__job", "day": "stop__crew_day__date"}


def not_done() -> Q:
    """Tell whether the crew of a part was turned away before it did it; for a query of parts.

    It was not, where it was let in and worked afterwards, or had finished that step before.
    """
    away = _facts(_VISIT).filter(~Exists(_worked_after()), kind=Kind.TURNED_AWAY)
    finished = _facts(_VISIT).filter(kind=Kind.FINISHED, step_kind=OuterRef("step__kind"))
    return Q(Exists(away)) & ~Q(Exists(finished))


def _worked_after() -> QuerySet[Fact]:
    same = _facts({name: name for name in _VISIT})
    return same.filter(
        kind__in=(Kind.STARTED, Kind.FINISHED), happened_at__gt=OuterRef("happened_at")
    )


def _facts(columns: dict[str, str]) -> QuerySet[Fact]:
    same: dict[str, Any] = {name: OuterRef(column) for name, column in columns.items()}
    return Fact.objects.filter(**same)
