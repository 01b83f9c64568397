"""Reads of the catalogue of conditions: for new jobs, for one job, for its pages."""

from collections.abc import Iterable

from jobs.catalogue.rows import entry_of
from jobs.conditions.catalogue import CatalogueEntry
from jobs.models import CatalogueItem, Condition


def catalogue_entries() -> tuple[CatalogueEntry, ...]:
    """Return what new jobs take their conditions from, in the order of the work."""
    return tuple(item.entry for item in CatalogueItem.objects.active())


def entries_of_job(conditions: Iterable[Condition]) -> tuple[CatalogueEntry, ...]:
    """Return the catalogue for a job that has these conditions: each of them keeps its own entry.

    Whatever the catalogue says by now, also where it has retired the entry.
    """
    kept = {row.code: entry for row in conditions if (entry := entry_of(row))}
    current = {item.code: item for item in CatalogueItem.objects.all()}
    overlaid = [
        kept.get(code, item.entry)
        for code, item in current.items()
        if code in kept or not item.retired
    ]
    return (*overlaid, *(entry for code, entry in kept.items() if code not in current))


def catalogue_items() -> list[CatalogueItem]:
    """Return the whole catalogue, retired entries too, in the order of the work."""
    return list(CatalogueItem.objects.all())


def addable_items(conditions: Iterable[Condition]) -> list[CatalogueItem]:
    """Return what may be added by hand to a job that has these conditions."""
    there = {row.code for row in conditions if row.needed}
    return list(CatalogueItem.objects.active().exclude(code__in=there))
