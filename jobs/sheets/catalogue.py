"""The catalogue of conditions as a sheet, read and written; must not know the database."""

import csv
import difflib
import io
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import zip_longest

from openpyxl import Workbook
from openpyxl.styles import Font

from jobs.conditions.seed_house import ALL_STEPS
from jobs.conditions.words import (
    COVERS,
    FACTS,
    GATE_NAMES,
    HOUSES,
    MEASURES,
    PARTY_NAMES,
    SPACE_KINDS,
)
from jobs.sheets.cells import CellRefused, Raw, cell_value, is_empty
from jobs.sheets.columns import About, Column, Holds
from jobs.sheets.errors import Expected, SheetError, SheetRefused, quoted
from jobs.sheets.errors import marked as _
from jobs.sheets.reading import sheet_cells

MOST_ROWS = 500
YES_NO = ("yes", "no")
Cell = str | int | None
Values = Mapping[str, object]


def _text(name: str, most: int = 200) -> Column:
    return Column(name, Holds.TEXT, About.JOB, most_characters=most)


def _choice(name: str, choices: Iterable[str]) -> Column:
    return Column(name, Holds.CHOICE, About.JOB, choices=tuple(choices))


def _whole(name: str, unit: str, low: int, high: int) -> Column:
    return Column(
        name, Holds.WHOLE, About.JOB, unit, low=Decimal(low), high=Decimal(high), zero=True
    )


# Lists stand in one cell, their words parted by commas.
LISTS: Mapping[str, tuple[str, ...]] = {
    "holds": ALL_STEPS,
    "spaces": SPACE_KINDS,
    "covers": COVERS,
    "only_with": tuple(FACTS),
    "not_with": tuple(FACTS),
    "follows": ALL_STEPS,
    "lag_steps": ALL_STEPS,
}
FLAGS = ("may_take_over", "never_waived", "lag_only_then", "booked", "retired")
COLUMNS = (
    _text("code", 40),
    _text("name", 120),
    _choice("owed_by", PARTY_NAMES),
    _choice("gate", GATE_NAMES),
    _text("holds"),
    _text("consequence"),
    _text("source"),
    _choice("houses", HOUSES),
    _text("spaces"),
    _text("covers"),
    _text("only_with"),
    _text("not_with"),
    _whole("built_before", _("years"), 1700, 2100),
    _text("year_rule"),
    _whole("lead_days", _("working days"), 0, 250),
    _choice("may_take_over", YES_NO),
    _choice("measure", MEASURES),
    _choice("never_waived", YES_NO),
    _text("document", 120),
    _text("follows"),
    _text("lag_steps"),
    _whole("lag_trade_days", _("working days"), 0, 250),
    _choice("lag_only_then", YES_NO),
    _choice("booked", YES_NO),
    _whole("valid_hours", _("hours"), 1, 8760),
    _choice("retired", YES_NO),
)
NAMES = tuple(column.name for column in COLUMNS)
# What an empty cell says; a column that is not named here needs a value where it stands.
EMPTY: Mapping[str, object] = {
    "code": "",
    "houses": "both",
    "built_before": None,
    "year_rule": "",
    "lead_days": 0,
    "measure": "",
    "document": "",
    "lag_trade_days": 0,
    "valid_hours": None,
    **{name: [] for name in LISTS if name != "holds"},
    **dict.fromkeys(FLAGS, False),
}


@dataclass(frozen=True)
class CatalogueRow:
    """One row that is right in itself: its number and its values by the item's field names."""

    number: int
    values: Values


@dataclass(frozen=True)
class CatalogueSheet:
    """The good rows and all errors of the others."""

    rows: tuple[CatalogueRow, ...] = ()
    errors: tuple[SheetError, ...] = ()


def catalogue_read(content: bytes) -> CatalogueSheet:
    """Read a catalogue from a CSV or XLSX file; never raises.

    The column code is needed, others only where they are to change; a row without a code is a
    new entry.
    """
    try:
        cells = sheet_cells(content)
    except SheetRefused as refusal:
        return CatalogueSheet(errors=(refusal.error,))
    names = ["" if is_empty(raw) else str(raw).strip().lower() for raw in cells[0]]
    errors = list(_header_errors(names))
    if errors:
        return CatalogueSheet(errors=tuple(errors))
    rows: list[CatalogueRow] = []
    for number, raws in enumerate(cells[1:], start=2):
        if not all(is_empty(raw) for raw in raws):
            values, wrong = _row(number, names, raws)
            rows.append(CatalogueRow(number, values))
            errors += wrong
    errors += _twice(rows)
    if len(rows) > MOST_ROWS:
        errors = [SheetError(0, "", "", Expected(_("expected at most %(most)d rows"),
                                                 {"most": MOST_ROWS}))]  # fmt: skip
    return CatalogueSheet(tuple(rows), tuple(sorted(errors, key=lambda e: (e.row, e.column))))


def _header_errors(names: Sequence[str]) -> Iterable[SheetError]:
    for name in names:
        if name and name not in NAMES:
            near = difflib.get_close_matches(name, NAMES, n=1, cutoff=0)
            known = _("expected a known column; the nearest is %(near)s")
            yield SheetError(1, quoted(name), quoted(name), Expected(known, {"near": near[0]}))
    for name in NAMES:
        if names.count(name) > 1:
            yield SheetError(1, name, name, Expected(_("expected each column once")))
    if "code" not in names:
        yield SheetError(1, "code", "", Expected(_("expected this column; it is missing")))


def _row(
    number: int, names: Sequence[str], raws: Sequence[Raw]
) -> tuple[dict[str, object], list[SheetError]]:
    values: dict[str, object] = {}
    errors: list[SheetError] = []
    columns = {column.name: column for column in COLUMNS}
    for name, raw in zip_longest(names, raws, fillvalue=None):
        try:
            if name:
                values[name] = _value(columns[name], raw)
            elif not is_empty(raw):
                raise CellRefused(_("expected nothing in a column without a name"))
        except CellRefused as refusal:
            errors.append(SheetError(number, name or "", quoted(raw), refusal.expected))
    return values, errors


def _value(column: Column, raw: Raw) -> object:
    name = column.name
    if is_empty(raw):
        if name in EMPTY:
            return EMPTY[name]
        raise CellRefused(_("expected a value"))
    value = cell_value(column, raw)
    if name in LISTS:
        return _list(str(value), LISTS[name])
    return value == "yes" if name in FLAGS else value


def _list(text: str, choices: Sequence[str]) -> list[str]:
    words = [word.strip().lower() for word in text.replace(";", ",").split(",") if word.strip()]
    if not words or set(words) - set(choices):
        raise CellRefused(
            _("expected one or more of %(choices)s, parted by commas"), choices=", ".join(choices)
        )
    return words


def _twice(rows: Sequence[CatalogueRow]) -> Iterable[SheetError]:
    first: dict[str, int] = {}
    for row in rows:
        code = str(row.values.get("code", ""))
        earlier = first.setdefault(code, row.number) if code else row.number
        if earlier != row.number:
            same = _("expected another line; row %(row)d is the same")
            yield SheetError(row.number, "code", quoted(code), Expected(same, {"row": earlier}))


def _cells(values: Values) -> list[Cell]:
    return [_cell(name, values[name]) for name in NAMES]


def _cell(name: str, value: object) -> Cell:
    if name in FLAGS:
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(value)
    return value if isinstance(value, int) else str(value) if value is not None else None


def catalogue_csv(items: Iterable[Values]) -> bytes:
    """Return the catalogue as CSV, in UTF-8 with its mark; `items` by the column's names."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(NAMES)
    writer.writerows(map(_cells, items))
    return text.getvalue().encode("utf-8-sig")


def catalogue_xlsx(items: Iterable[Values]) -> bytes:
    """Return the catalogue as a workbook with one sheet; its header stays in view."""
    book = Workbook()
    sheet = book.active
    sheet.title = "catalogue"
    sheet.append(list(NAMES))
    for values in items:
        sheet.append(_cells(values))
    for cell in sheet[1]:
        cell.font = Font(bold=True)
    sheet.freeze_panes = "C2"
    content = io.BytesIO()
    book.save(content)
    return content.getvalue()


WRITERS: Mapping[str, Callable[[Iterable[Values]], bytes]] = {
    "csv": catalogue_csv,
    "xlsx": catalogue_xlsx,
}
