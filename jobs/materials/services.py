"""Services about materials: facts, charts and sizes; open jobs that use them are re-priced."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.utils.translation import gettext

from contractor.events import Actor, event_record
from contractor.models import BattSize, CavityRow, ChartRow, Material
from jobs.desk.services import Stale, as_json, set_fields
from jobs.estimates.services.reprice import Repriced, material_reprice
from jobs.estimating import TakeoffError, check_cavity_chart, check_chart
from jobs.sheets.tables import COLUMNS_OF
from jobs.wording import sentence_text

FACTS = frozenset(
    {
        "key",
        "name",
        "kind",
        "bag_lb",
        "open_lb_per_ft3",
        "dense_lb_per_ft3",
        "dense_minimum_lb_per_ft3",
        "settle",
        "settled_lb_per_ft3",
        "can_board_ft",
        "chart_source",
        "valid_from",
        "valid_to",
    }
)
# The models of a material's tables, and by which name the material has them.
TABLES: Mapping[str, tuple[type[models.Model], str]] = {
    "chart": (ChartRow, "chart"),
    "cavity": (CavityRow, "cavity_chart"),
    "batts": (BattSize, "batts"),
}
_IN_TABLE = re.compile(r"\w+\[(\d+)\]\.(\w+)")
Values = Mapping[str, object]


@dataclass(frozen=True)
class TableDoubt:
    """What is doubtful in a table: in a row (counted from 0), or in all of it (None)."""

    row: int | None
    text: str
    source: str


class DoubtfulRows(Exception):
    """Rows that are at odds with themselves or each other, and nobody said why they are kept."""

    def __init__(self, doubts: Sequence[TableDoubt]) -> None:
        super().__init__("\n".join(doubt.text for doubt in doubts))
        self.doubts = tuple(doubts)


@transaction.atomic
def material_save(
    *,
    material_id: int | None,
    version: int,
    values: Mapping[str, object],
    actor: Actor,
    now: datetime,
) -> tuple[Material, Repriced]:
    """Make a material (material_id None) or change its facts; open jobs that use it are re-priced.

    values: fields named in FACTS. Its kind does not change once it is made. Raises Stale,
    ValidationError by field, Material.DoesNotExist.
    """
    unknown = set(values) - FACTS
    if unknown:
        raise TypeError(f"material_save: {', '.join(sorted(unknown))} cannot be set")
    material = Material() if material_id is None else _held(material_id, version)
    is_new, kind = material.pk is None, material.kind
    changes = set_fields(material, values)
    if not changes:
        return material, Repriced()
    if not is_new and material.kind != kind:
        raise ValidationError({"kind": gettext("The kind of a material stays what it is.")})
    material.version += 0 if is_new else 1
    material.full_clean()
    material.save()
    verb = "created" if is_new else "changed"
    event_record(actor=actor, now=now, verb=verb, thing=material, what=changes)
    return material, Repriced() if is_new else material_reprice(material, actor=actor, now=now)


@transaction.atomic
def material_table_replace(
    *,
    material_id: int,
    version: int,
    table: str,
    rows: Sequence[Values],
    kept_because: str = "",
    actor: Actor,
    now: datetime,
) -> Repriced:
    """Make the rows of a material's table these; open jobs that use it are re-priced.

    table: `chart`, `cavity` or `batts`; rows by the names of its columns, as `table_of` reads
    them. A row that is at odds with itself or another is kept only with `kept_because`, which is
    written into it. Raises DoubtfulRows, Stale, ValidationError, Material.DoesNotExist.
    """
    material = _held(material_id, version)
    model, name = TABLES[table]
    because = kept_because.strip()
    doubted = {doubt.row for doubt in row_doubts(material, table, rows)}
    if doubted and not because:
        raise DoubtfulRows(row_doubts(material, table, rows))
    standing = getattr(material, name)
    before = [_told(row, table) for row in standing.all()]
    new = [
        _row(model, material, values, because if index in doubted else "")
        for index, values in enumerate(rows)
    ]
    after = [_told(row, table) for row in sorted(new, key=_order(model))]
    if before == after:
        return Repriced()
    standing.all().delete()
    for row in new:
        row.full_clean()
    model._default_manager.bulk_create(new)
    material.version += 1
    material.save(update_fields=["version"])
    what = {"table": table, "rows": [before, after], "title": material.name}
    event_record(actor=actor, now=now, verb="charted", thing=material, what=what)
    return material_reprice(material, actor=actor, now=now)


def table_doubts(material: Material, table: str, rows: Sequence[Values]) -> list[TableDoubt]:
    """Return all that is doubtful in the rows of a table, the law's list of R-values too.

    Raises ValidationError where a row cannot be read at all.
    """
    plain = [{name: as_json(value) for name, value in row.items()} for row in rows]
    try:
        found = _findings(material, table, plain)
    except TakeoffError as error:
        raise ValidationError(_line_sentence(error)) from None
    return [TableDoubt(f["row"], f["text"], f["source"]) for f in found]


def row_doubts(material: Material, table: str, rows: Sequence[Values]) -> list[TableDoubt]:
    """Return those of them that are about a row: somebody must say why it is kept."""
    return [doubt for doubt in table_doubts(material, table, rows) if doubt.row is not None]


def _line_sentence(error: TakeoffError) -> str:
    """Return what the estimator refuses, with the line counted from 1 and the column."""
    at = _IN_TABLE.fullmatch(error.path)
    if at is None:
        return sentence_text(error.located)
    words = gettext("Line %(line)d, %(column)s: %(reason)s")
    return words % {
        "line": int(at[1]) + 1,
        "column": at[2],
        "reason": sentence_text(error.sentence),
    }


def _findings(material: Material, table: str, rows: Sequence[Values]) -> list[Any]:
    if table == "cavity":
        return check_cavity_chart(rows)
    if table == "batts" or not rows:
        return []
    return check_chart(
        rows,
        bag_lb=as_json(material.bag_lb),
        settle=as_json(material.settle),
        settled_lb_per_ft3=as_json(material.settled_lb_per_ft3),
    )


def _held(material_id: int, version: int) -> Material:
    material = Material.objects.select_for_update().get(pk=material_id)
    if material.version != version:
        raise Stale(material)
    return material


def _row(
    model: type[models.Model], material: Material, values: Values, because: str
) -> models.Model:
    kept = {"kept_because": because} if model is not BattSize else {}
    return model(material=material, **values, **kept)


def _order(model: type[models.Model]) -> Any:
    """Return the key that sorts rows as the database gives them."""
    names = [str(name) for name in model._meta.ordering or ()]
    return lambda row: tuple(getattr(row, name) for name in names)


def _told(row: models.Model, table: str) -> dict[str, Any]:
    """Return a row as an event keeps it."""
    names = [column.name for column in COLUMNS_OF[table]]
    names += ["kept_because"] if hasattr(row, "kept_because") else []
    values = {name: getattr(row, name) for name in names}
    return {
        name: as_json(value) if isinstance(value, Decimal) else value
        for name, value in values.items()
        if value not in (None, "")
    }
