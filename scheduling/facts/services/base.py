"""Where a condition stood when somebody else than a crew's facts moved it last; writes nothing."""

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from contractor.models import Event
from jobs.conditions.states import Grounds
from jobs.models import Condition
from jobs.record.services.shift import CrewReport as Kept
from scheduling.progress.claims import ClaimedState


@dataclass(frozen=True)
class Base:
    """What the row said then, and what facts have made of it since.

    charges: the back-charge of each fact whose taking over stands. days: as they were kept last.
    """

    state: str
    promised_for: date | None = None
    reason: str = ""
    document: str = ""
    moved_by: str = ""
    moved_at: datetime | None = None
    charges: dict[str, int] = field(default_factory=dict)
    days: list[list[str]] = field(default_factory=list)

    @property
    def grounds(self) -> Grounds:
        """What it rested on."""
        return Grounds(day=self.promised_for, reason=self.reason, document=self.document)


def base_of(row: Condition) -> Base:
    """Return it by the last event of the condition's moves; the row itself where that is none.

    The moves drawn from facts keep it in their events, so that the next one is drawn anew.
    """
    moves = Event.objects.filter(
        noun="condition", noun_id=str(row.pk), what__has_key="state"
    ).order_by("-id")
    event = moves.first()
    kept = event.what.get("heard") if event else None
    if kept and kept["version"] == row.version:
        return _of_json(kept)
    return Base(row.state, row.promised_for, row.reason, row.document, row.moved_by, row.moved_at)


def kept_of(row: Condition, base: Base, claimed: ClaimedState, charges: dict[str, int]) -> Kept:
    """Return what the next move of the row keeps: the base, and what is judged of its days."""
    at = claimed.by.at if claimed.by else base.moved_at
    return Kept(
        at,
        {
            "version": row.version + 1,
            "days": days_of(claimed),
            "charges": charges,
            "base": {
                "state": base.state,
                "promised_for": base.promised_for and base.promised_for.isoformat(),
                "reason": base.reason,
                "document": base.document,
                "moved_by": base.moved_by,
                "moved_at": base.moved_at and base.moved_at.isoformat(),
            },
        },
    )


def days_of(claimed: ClaimedState) -> list[list[str]]:
    """Return the days as an event keeps them."""
    return [[day.isoformat(), before, after] for day, before, after in claimed.days]


def _of_json(kept: dict[str, Any]) -> Base:
    told = kept["base"]
    return Base(
        state=told["state"],
        promised_for=date.fromisoformat(told["promised_for"]) if told["promised_for"] else None,
        reason=told["reason"],
        document=told["document"],
        moved_by=told["moved_by"],
        moved_at=datetime.fromisoformat(told["moved_at"]) if told["moved_at"] else None,
        charges=kept["charges"] | ({kept["fact"]: kept["charge"]} if "charge" in kept else {}),
        days=kept["days"],
    )
