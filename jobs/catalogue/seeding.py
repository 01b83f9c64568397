"""Fills the catalogue's table from the pure seed; called whenever the tables have been made."""

from typing import Any

from django.apps import apps as now
from django.db import DEFAULT_DB_ALIAS

from jobs.conditions.catalogue import CatalogueEntry
from jobs.conditions.seed import SEED


def item_fields(entry: CatalogueEntry) -> dict[str, Any]:
    """Return the fields of a catalogue's row that say the same as the entry."""
    after = entry.lag_after
    return {
        "code": entry.code,
        "name": entry.name,
        "owed_by": entry.owed_by,
        "gate": entry.gate,
        "holds": list(entry.holds),
        "consequence": entry.consequence,
        "source": entry.source,
        "houses": entry.houses,
        "spaces": sorted(entry.spaces),
        "covers": sorted(entry.covers),
        "only_with": sorted(entry.only_with),
        "not_with": sorted(entry.not_with),
        "built_before": entry.built_before,
        "year_rule": entry.year_rule,
        "lead_days": entry.lead_days,
        "may_take_over": entry.may_take_over,
        "measure": entry.measure,
        "never_waived": entry.never_waived,
        "document": entry.document,
        "follows": sorted(entry.follows),
        "lag_steps": sorted(after.steps) if after else [],
        "lag_trade_days": after.trade_days if after else 0,
        "lag_only_then": bool(after and after.only_then),
        "booked": entry.booked,
        "valid_hours": entry.valid_hours,
    }


def catalogue_seed(apps: Any = now, using: str = DEFAULT_DB_ALIAS, **_signal: Any) -> None:
    """Add the seeded entries that the table lacks; what a contractor has edited stays.

    Runs after every migration and flush, so a later version's new entries arrive by themselves.
    `apps` is the state of the models after a migration; a flush does not tell it. Before the table
    is made there is nothing to do.
    """
    try:
        model = apps.get_model("jobs", "CatalogueItem")
    except LookupError:
        return
    items = model.objects.using(using)
    there = set(items.values_list("code", flat=True))
    items.bulk_create(
        model(position=10 * place, **item_fields(entry))
        for place, entry in enumerate(SEED, start=1)
        if entry.code not in there
    )
