"""Reads of back-charges: by builder and month, with their sums; writes nothing."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from contractor.access import Scope
from jobs.models import BackCharge, Builder


@dataclass(frozen=True)
class ChargeFilter:
    """Which back-charges: of a builder, of a month (its first day), of a job; with struck ones."""

    builder: int | None = None
    month: date | None = None
    job: int | None = None
    with_struck: bool = False

    @classmethod
    def read(cls, query: Mapping[str, str]) -> "ChargeFilter":
        """Return what a query string asks for; what makes no sense is left out."""
        return cls(
            builder=_number(query.get("builder", "")),
            month=_month(query.get("month", "")),
            job=_number(query.get("job", "")),
            with_struck=query.get("struck", "") == "1",
        )


@dataclass(frozen=True)
class ChargeSum:
    """The standing charges of one builder in one month, added up."""

    builder: str
    month: date
    charges: int
    person_minutes: int
    cents: int


def back_charges(scope: Scope, asked: ChargeFilter) -> QuerySet[BackCharge]:
    """Return the scope's back-charges, newest first, with what a line shows; one statement."""
    found = BackCharge.objects.visible_to(scope).select_related(
        "builder", "job__site__branch", "condition"
    )
    if not asked.with_struck:
        found = found.active()
    if asked.builder:
        found = found.filter(builder_id=asked.builder)
    if asked.job:
        found = found.filter(job_id=asked.job)
    return found.of_month(asked.month) if asked.month else found


def charge_sums(charges: Iterable[BackCharge]) -> list[ChargeSum]:
    """Return what stands of them by builder and month, the newest month first."""
    groups: dict[tuple[date, str], list[BackCharge]] = {}
    for charge in charges:
        if charge.struck_at is None:
            key = (charge.taken_on.replace(day=1), charge.builder.name)
            groups.setdefault(key, []).append(charge)
    ordered = sorted(groups.items(), key=lambda group: (-group[0][0].toordinal(), group[0][1]))
    return [
        ChargeSum(
            builder,
            month,
            len(lines),
            sum(line.person_minutes for line in lines),
            sum(line.cents for line in lines),
        )
        for (month, builder), lines in ordered
    ]


def charged_builders(scope: Scope) -> QuerySet[Builder]:
    """Return the builders that the scope has ever charged."""
    charges = BackCharge.objects.visible_to(scope).values("builder")
    return Builder.objects.filter(pk__in=charges)


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else None


def _month(text: str) -> date | None:
    try:
        return date.fromisoformat(f"{text}-01")
    except ValueError:
        return None
