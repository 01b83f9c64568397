"""The service that takes a sheet of the catalogue: all of it, or nothing with every error."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from contractor.events import Actor
from jobs.catalogue.services.entries import (
    catalogue_add,
    catalogue_change,
    catalogue_restore,
    catalogue_retire,
)
from jobs.models import CatalogueItem
from jobs.sheets.catalogue import CatalogueRow, catalogue_read
from jobs.sheets.errors import Expected, SheetError, quoted
from jobs.sheets.errors import marked as _

NEEDED = ("name", "owed_by", "gate", "holds", "consequence", "source")


class CatalogueSheetRefused(Exception):
    """A sheet with errors; nothing was written. `errors` lists them by row and column."""

    def __init__(self, errors: tuple[SheetError, ...]) -> None:
        super().__init__("\n".join(map(str, errors)))
        self.errors = errors


@dataclass(frozen=True)
class CatalogueTaken:
    """How many entries of a sheet are new, changed and as they were."""

    new: int
    changed: int
    unchanged: int


@transaction.atomic
def catalogue_import(*, content: bytes, actor: Actor, now: datetime) -> CatalogueTaken:
    """Take a sheet of the catalogue: known codes are changed, others are added.

    Entries that the sheet does not name stay as they are. Raises CatalogueSheetRefused with every
    error, CatalogueRefused for who may not; then nothing is written.
    """
    sheet = catalogue_read(content)
    if sheet.errors:
        raise CatalogueSheetRefused(sheet.errors)
    standing = {item.code: item for item in CatalogueItem.objects.select_for_update()}
    counts = {"new": 0, "changed": 0, "unchanged": 0}
    errors: list[SheetError] = []
    for row in sheet.rows:
        item = standing.get(str(row.values.get("code", "")))
        try:
            counts[_take(row, item, actor, now)] += 1
        except ValidationError as error:
            errors += _errors(row, error)
    if errors:
        raise CatalogueSheetRefused(tuple(errors))
    return CatalogueTaken(**counts)


def _take(row: CatalogueRow, item: CatalogueItem | None, actor: Actor, now: datetime) -> str:
    values = {k: v for k, v in row.values.items() if k not in ("code", "retired")}
    retired = row.values.get("retired")
    if item is None:
        _refuse_missing(row)
        item = catalogue_add(
            values=values, code=str(row.values.get("code", "")), actor=actor, now=now
        )
        _retire(item, retired, actor, now)
        return "new"
    changed = catalogue_change(
        item_id=item.pk, version=item.version, values=values, actor=actor, now=now
    )
    changed = _retire(changed, retired, actor, now)
    return "unchanged" if changed.version == item.version else "changed"


def _retire(item: CatalogueItem, retired: object, actor: Actor, now: datetime) -> CatalogueItem:
    if retired is None or retired == item.retired:
        return item
    service = catalogue_retire if retired else catalogue_restore
    return service(item_id=item.pk, version=item.version, actor=actor, now=now)


def _refuse_missing(row: CatalogueRow) -> None:
    missing = [name for name in NEEDED if name not in row.values]
    if missing:
        raise ValidationError({name: [_("a new entry needs this column")] for name in missing})


def _errors(row: CatalogueRow, error: ValidationError) -> Iterator[SheetError]:
    """Yield what a service refused of a row, at the cell that it is about."""
    for name, sentences in error.message_dict.items():
        column = name if name in row.values or name in NEEDED else "code"
        value = row.values.get(column, "")
        written = ", ".join(value) if isinstance(value, list) else value
        for sentence in sentences:
            # A sentence of its own, so that a percent sign in it is no place for a value.
            why = Expected("%(why)s", {"why": sentence})
            yield SheetError(row.number, column, quoted(written), why)
