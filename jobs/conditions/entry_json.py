"""An entry of the catalogue as JSON and back, as a row keeps it; knows no row."""

from collections.abc import Mapping
from dataclasses import asdict, fields
from typing import Any

from jobs.conditions.catalogue import CatalogueEntry, LagAfter

_SETS = ("spaces", "covers", "only_with", "not_with", "follows")


def entry_as_json(entry: CatalogueEntry) -> dict[str, Any]:
    """Return all that the entry says beyond the defaults, in plain JSON values; sets are sorted."""
    said = {
        field.name: value
        for field in fields(entry)
        if (value := getattr(entry, field.name)) != field.default
    }
    for name in said.keys() & set(_SETS):
        said[name] = sorted(said[name])
    said["holds"] = list(entry.holds)
    if entry.lag_after:
        said["lag_after"] = asdict(entry.lag_after) | {"steps": sorted(entry.lag_after.steps)}
    return said


def entry_of_json(kept: Mapping[str, Any]) -> CatalogueEntry:
    """Return the entry that `entry_as_json` wrote."""
    values = dict(kept)
    for name in values.keys() & set(_SETS):
        values[name] = frozenset(values[name])
    values["holds"] = tuple(values["holds"])
    if after := values.get("lag_after"):
        values["lag_after"] = LagAfter(**{**after, "steps": frozenset(after["steps"])})
    return CatalogueEntry(**values)
