"""Rows of cells to rows of values: header, kinds of space, agreement; must not know a file."""

import difflib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from jobs.sheets.cells import CellRefused, Raw, Value, cell_value, is_empty
from jobs.sheets.columns import BY_NAME, COLUMNS, NAMES
from jobs.sheets.errors import Alternatives, Expected, SheetError, quoted
from jobs.sheets.errors import marked as _

# Of each group of measures one alternative must be there in full.
_FRAMED: tuple[Alternatives, ...] = ((("area_ft2",),), (("depth_in",), ("target_r",)))
NEEDED_MEASURES: Mapping[str, tuple[Alternatives, ...]] = {
    "attic_flat": ((("area_ft2",),), (("target_r",),)),
    "slope_bays": ((("bays",),), (("depth_in",),), (("length_ft",), ("run_ft", "pitch"))),
    "walls": _FRAMED,
    "rim": _FRAMED,
    "knee_wall": _FRAMED,
    "floor": _FRAMED,
    "air_seal": ((("length_ft",), ("count",)),),
    "baffles": ((("count",), ("bays",)),),
}


@dataclass(frozen=True)
class SheetRow:
    """One row that is right in itself. Empty cells have no value."""

    number: int
    values: Mapping[str, Value]

    def text(self, name: str) -> str:
        """Return the words of a text column, "" where it is empty."""
        return str(self.values.get(name, ""))

    def whole(self, name: str) -> int | None:
        """Return the value of a column of whole numbers."""
        value = self.values.get(name)
        return value if isinstance(value, int) else None

    def number_of(self, name: str) -> Decimal | None:
        """Return the value of a column of numbers."""
        value = self.values.get(name)
        return value if isinstance(value, Decimal) else None

    def day(self, name: str) -> date | None:
        """Return the value of a column of dates."""
        value = self.values.get(name)
        return value if isinstance(value, date) else None


@dataclass(frozen=True)
class Sheet:
    """What a sheet says: the columns it has, its good rows, and all errors of the others."""

    columns: frozenset[str] = frozenset()
    rows: tuple[SheetRow, ...] = ()
    errors: tuple[SheetError, ...] = ()


@dataclass
class _Header:
    names: list[str] = field(default_factory=list)
    errors: list[SheetError] = field(default_factory=list)


def sheet_of(cells: Sequence[Sequence[Raw]]) -> Sheet:
    """Return the header and rows of a sheet. Where the header is wrong, no row is looked at."""
    header = _header(cells[0] if cells else ())
    if header.errors:
        return Sheet(errors=tuple(header.errors))
    rows: list[SheetRow] = []
    errors: list[SheetError] = []
    for number, raws in enumerate(cells[1:], start=2):
        if not all(is_empty(raw) for raw in raws):
            _row(number, header.names, raws, rows, errors)
    if not rows and not errors:
        errors.append(SheetError(2, "", "", Expected(_("expected at least one row below it"))))
    return Sheet(frozenset(header.names) - {""}, tuple(rows), tuple(errors))


def _header(raws: Sequence[Raw]) -> _Header:
    header = _Header()
    for raw in raws:
        name = "" if is_empty(raw) else str(raw).strip().lower()
        if name and name not in BY_NAME:
            header.errors.append(SheetError(1, quoted(name), quoted(raw), _unknown(name)))
        elif name and name in header.names:
            once = Expected(_("expected each column once"))
            header.errors.append(SheetError(1, name, quoted(raw), once))
        header.names.append(name)
    header.errors.extend(
        SheetError(1, column.name, "", Expected(_("expected this column; it is missing")))
        for column in COLUMNS
        if column.required and column.name not in header.names
    )
    return header


def _unknown(name: str) -> Expected:
    near = difflib.get_close_matches(name, NAMES, n=1, cutoff=0)
    return Expected(_("expected a known column; the nearest is %(near)s"), {"near": near[0]})


def _row(
    number: int,
    names: Sequence[str],
    raws: Sequence[Raw],
    rows: list[SheetRow],
    errors: list[SheetError],
) -> None:
    """Read one row into `rows`, or its errors into `errors`."""
    values: dict[str, Value] = {}
    before = len(errors)
    for index, raw in enumerate(raws):
        name = names[index] if index < len(names) else ""
        try:
            value = _value(name, raw)
        except CellRefused as refusal:
            errors.append(SheetError(number, name, quoted(raw), refusal.expected))
        else:
            if value is not None:
                values[name] = value
    refused_columns = {error.column for error in errors[before:]}
    errors.extend(_missing(number, values, refused_columns))
    if len(errors) == before:
        rows.append(SheetRow(number, values))


def _value(name: str, raw: Raw) -> Value | None:
    if name:
        return cell_value(BY_NAME[name], raw)
    if is_empty(raw):
        return None
    raise CellRefused(_("expected nothing in a column without a name"))


def _missing(number: int, values: Mapping[str, Value], refused: set[str]) -> Iterator[SheetError]:
    """Yield what the row lacks. A column with an error of its own is not said to be missing too."""
    for column in COLUMNS:
        if column.required and column.name not in values and column.name not in refused:
            yield SheetError(number, column.name, "", Expected(_("expected a value")))
    kind = str(values.get("kind", ""))
    for alternatives in NEEDED_MEASURES.get(kind, ()):
        needed = {name for names in alternatives for name in names}
        if not any(set(names) <= set(values) for names in alternatives) and not needed & refused:
            yield SheetError(number, alternatives[0][0], "", _measures(kind, alternatives))
    yield from _half(number, values, refused)


def _measures(kind: str, alternatives: Alternatives) -> Expected:
    return Expected(
        _("expected %(measures)s for a space of kind %(kind)s"),
        {"measures": alternatives, "kind": kind},
    )


def _half(number: int, values: Mapping[str, Value], refused: set[str]) -> Iterator[SheetError]:
    """Yield the values that say something only together with another one."""
    pairs = (
        ("latitude", "longitude"),
        ("longitude", "latitude"),
        ("superintendent_email", "superintendent"),
        ("superintendent_phone", "superintendent"),
        ("owner_email", "owner_name"),
        ("owner_phone", "owner_name"),
        ("owner_language", "owner_name"),
    )
    for given, needed in pairs:
        if given in values and needed not in values and needed not in refused:
            wanted = Expected(_("expected a value, since %(given)s has one"), {"given": given})
            yield SheetError(number, needed, "", wanted)
