"""Tables of a material, from a file or a page, to rows of values; must not know a database."""

import difflib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from jobs.sheets.cells import CellRefused, Raw, Value, cell_value, is_empty
from jobs.sheets.columns import About, Column, Holds
from jobs.sheets.errors import Expected, SheetError, SheetRefused, quoted
from jobs.sheets.errors import marked as _
from jobs.sheets.reading import sheet_cells

MOST_TABLE_ROWS = 100


def _figure(name: str, unit: str, high: str, *, places: int = 2, required: bool = True) -> Column:
    return Column(
        name,
        Holds.NUMBER,
        About.SPACE,
        unit,
        required=required,
        high=Decimal(high),
        places=places,
    )


_R = _figure("r", "R-value", "200", places=1)
# A weight is kept as it is written, since a label's figure may be an exact fraction.
WEIGHT = "lb_per_ft2"
CHART = (
    _R,
    _figure("initial_in", _("inches"), "100"),
    _figure("settled_in", _("inches"), "100"),
    Column(WEIGHT, Holds.TEXT, About.SPACE, required=True, most_characters=24),
    _figure("bags_per_1000_ft2", _("bags"), "10000", required=False),
    _figure("ft2_per_bag", _("square feet"), "10000", required=False),
)
CAVITY = (
    _figure("depth_in", _("inches"), "60", places=3),
    _R,
    _figure("lb_per_ft3", _("pounds in a cubic foot"), "6", places=3),
)
BATTS = (
    _R,
    _figure("thickness_in", _("inches"), "60", places=3),
    _figure("width_in", _("inches"), "120", places=3),
    _figure("package_ft2", _("square feet"), "10000"),
)
COLUMNS_OF: Mapping[str, tuple[Column, ...]] = {"chart": CHART, "cavity": CAVITY, "batts": BATTS}
# What makes two rows the same line of a table.
KEY_OF: Mapping[str, tuple[str, ...]] = {
    "chart": ("r",),
    "cavity": ("depth_in", "lb_per_ft3"),
    "batts": ("r", "thickness_in", "width_in"),
}


@dataclass(frozen=True)
class TableRow:
    """One row that is right in itself, with its number in the sheet (the header is row 1)."""

    number: int
    values: Mapping[str, Value]


@dataclass(frozen=True)
class Table:
    """The rows that are right, and every error of the others by row and column."""

    rows: tuple[TableRow, ...] = ()
    errors: tuple[SheetError, ...] = ()


def table_read(content: bytes, name: str) -> Table:
    """Read a table of a material from a CSV or XLSX file; never raises.

    name: `chart`, `cavity` or `batts`.
    """
    try:
        return table_of(sheet_cells(content), name)
    except SheetRefused as refusal:
        return Table(errors=(refusal.error,))


def table_of(cells: Sequence[Sequence[Raw]], name: str, *, first: int = 2) -> Table:
    """Return the same from cells, of which the first row is the header; empty rows are passed over.

    first: the number of the row below the header.
    """
    columns = {column.name: column for column in COLUMNS_OF[name]}
    names = ["" if is_empty(raw) else str(raw).strip().lower() for raw in (cells or [[]])[0]]
    errors = _header_errors(names, columns)
    if errors:
        return Table(errors=tuple(errors))
    rows = []
    for number, raws in enumerate(cells[1:], start=first):
        if not all(is_empty(raw) for raw in raws):
            row, wrong = _row(number, names, raws, columns)
            rows.append(row)
            errors += wrong
    errors += _twice(rows, KEY_OF[name])
    if len(rows) > MOST_TABLE_ROWS:
        most = Expected(_("expected at most %(most)d rows"), {"most": MOST_TABLE_ROWS})
        errors = [SheetError(0, "", "", most)]
    return Table(tuple(rows), tuple(sorted(errors, key=lambda e: (e.row, e.column))))


def _header_errors(names: Sequence[str], columns: Mapping[str, Column]) -> list[SheetError]:
    errors = [
        SheetError(1, quoted(name), quoted(name), _unknown(name, columns))
        for name in names
        if name and name not in columns
    ]
    once = Expected(_("expected each column once"))
    seen = [name for name in columns if names.count(name) > 1]
    errors += [SheetError(1, name, name, once) for name in seen]
    missing = Expected(_("expected this column; it is missing"))
    return errors + [
        SheetError(1, column.name, "", missing)
        for column in columns.values()
        if column.required and column.name not in names
    ]


def _unknown(name: str, columns: Mapping[str, Column]) -> Expected:
    near = difflib.get_close_matches(name, list(columns), n=1, cutoff=0)
    return Expected(_("expected a known column; the nearest is %(near)s"), {"near": near[0]})


def _row(
    number: int, names: Sequence[str], raws: Sequence[Raw], columns: Mapping[str, Column]
) -> tuple[TableRow, list[SheetError]]:
    values: dict[str, Value] = {}
    errors = []
    for index, raw in enumerate(raws):
        name = names[index] if index < len(names) else ""
        try:
            value = _value(columns.get(name), raw)
        except CellRefused as refusal:
            errors.append(SheetError(number, name, quoted(raw), refusal.expected))
        else:
            values |= {} if value is None else {name: value}
    refused = {error.column for error in errors}
    errors += [
        SheetError(number, column.name, "", Expected(_("expected a value")))
        for column in columns.values()
        if column.required and column.name not in values and column.name not in refused
    ]
    return TableRow(number, values), errors


def _value(column: Column | None, raw: Raw) -> Value | None:
    if column is not None:
        return cell_value(column, raw)
    if is_empty(raw):
        return None
    raise CellRefused(_("expected nothing in a column without a name"))


def _twice(rows: Sequence[TableRow], key_names: Sequence[str]) -> list[SheetError]:
    first: dict[tuple[Value | None, ...], int] = {}
    errors = []
    for row in rows:
        key = tuple(row.values.get(name) for name in key_names)
        earlier = first.setdefault(key, row.number)
        if earlier != row.number and None not in key:
            wanted = Expected(_("expected another line; row %(row)d is the same"), {"row": earlier})
            value = quoted(row.values[key_names[0]])
            errors.append(SheetError(row.number, key_names[0], value, wanted))
    return errors
