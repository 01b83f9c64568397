"""A sheet of measured drive minutes to rows that are right in themselves; knows no database."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from jobs.sheets.cells import Raw, is_empty
from jobs.sheets.errors import Expected, SheetError, SheetRefused, quoted
from jobs.sheets.errors import marked as _
from jobs.sheets.reading import sheet_cells

COLUMNS = ("from", "to", "minutes")
MOST_MINUTES = 1440


@dataclass(frozen=True)
class DriveRow:
    """One measured drive: the row's number, the two places as written, whole minutes."""

    number: int
    start: str
    end: str
    minutes: int


@dataclass(frozen=True)
class DriveSheet:
    """The good rows and all errors of the others."""

    rows: tuple[DriveRow, ...] = ()
    errors: tuple[SheetError, ...] = ()


def drive_sheet_read(content: bytes) -> DriveSheet:
    """Read a sheet with the columns from, to and minutes, in any order; never raises."""
    try:
        cells = sheet_cells(content)
    except SheetRefused as refusal:
        return DriveSheet(errors=(refusal.error,))
    names = ["" if is_empty(raw) else str(raw).strip().lower() for raw in cells[0]]
    if sorted(name for name in names if name) != sorted(COLUMNS):
        wanted = Expected(_("expected the columns from, to and minutes, each once"))
        return DriveSheet(errors=(SheetError(1, "", quoted(", ".join(names)), wanted),))
    rows: list[DriveRow] = []
    errors: list[SheetError] = []
    for number, raws in enumerate(cells[1:], start=2):
        if not all(is_empty(raw) for raw in raws):
            padded = [*raws, *[None] * len(names)]
            values = {name: padded[index] for index, name in enumerate(names) if name}
            found = list(_faults(number, values))
            errors += found
            if not found:
                start, end = (str(values[name]).strip() for name in ("from", "to"))
                rows.append(DriveRow(number, start, end, _whole(values["minutes"]) or 0))
    return DriveSheet(tuple(rows), (*errors, *_repeated(rows)))


def _faults(number: int, values: dict[str, Raw]) -> Iterator[SheetError]:
    for name in ("from", "to"):
        if is_empty(values[name]):
            wanted = Expected(_("expected yard, or the name of a site"))
            yield SheetError(number, name, "", wanted)
    minutes = _whole(values["minutes"])
    if minutes is None or not 0 <= minutes <= MOST_MINUTES:
        wanted = Expected(_("expected whole minutes, 0 to %(most)d"), {"most": MOST_MINUTES})
        yield SheetError(number, "minutes", quoted(values["minutes"]), wanted)


def _whole(raw: Raw) -> int | None:
    try:
        number = float(str(raw).strip())
    except ValueError:
        return None
    return int(number) if number.is_integer() else None


def _repeated(rows: Sequence[DriveRow]) -> Iterator[SheetError]:
    seen: set[tuple[str, str]] = set()
    for row in rows:
        if (row.start, row.end) in seen:
            wanted = Expected(_("expected each drive once"))
            yield SheetError(row.number, "to", quoted(row.end), wanted)
        seen.add((row.start, row.end))
