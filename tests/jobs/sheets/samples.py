"""Sheets for tests: rows as dictionaries, written by libraries of others, and hostile archives."""

import csv
import io
import zipfile
from collections.abc import Callable, Iterable, Mapping

from openpyxl import Workbook

from jobs.sheets import Sheet, SheetError

Row = Mapping[str, object]

ATTIC: dict[str, object] = {
    "builder": "Hazel Homes",
    "site": "Quarry Lane",
    "unit": "Lot 14",
    "space": "attic",
    "kind": "attic_flat",
    "area_ft2": 1500,
    "target_r": 49,
    "board_in": 0.625,
    "framing_in": 24,
}
SLOPE: dict[str, object] = {
    "builder": "Hazel Homes",
    "site": "Quarry Lane",
    "unit": "Lot 14",
    "space": "north slope",
    "kind": "slope_bays",
    "bays": 22,
    "length_ft": 16,
    "depth_in": 9.25,
    "cover": "board",
}


def names_of(rows: Iterable[Row]) -> list[str]:
    """All columns of the rows, in the order in which they turn up."""
    return list(dict.fromkeys(name for row in rows for name in row))


def csv_of(*rows: Row, encoding: str = "utf-8", delimiter: str = ",") -> bytes:
    """The rows as CSV, written by the standard library."""
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, names_of(rows), delimiter=delimiter)
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue().encode(encoding)


def xlsx_of(*rows: Row, change: Callable[[Workbook], None] = lambda book: None) -> bytes:
    """The rows as a workbook, written by openpyxl; `change` has a last hand in it."""
    book = Workbook()
    sheet = book.active
    names = names_of(rows)
    sheet.append(names)
    for row in rows:
        sheet.append([row.get(name) for name in names])
    change(book)
    content = io.BytesIO()
    book.save(content)
    return content.getvalue()


def repacked(content: bytes, change: Mapping[str, bytes]) -> bytes:
    """The archive with some members put in place of its own, or beside them."""
    buffer = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(content)) as old,
        zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for name in old.namelist():
            new.writestr(name, change.get(name, old.read(name)))
        for name in set(change) - set(old.namelist()):
            new.writestr(name, change[name])
    return buffer.getvalue()


def only_error(sheet: Sheet) -> SheetError:
    """The one error that the sheet has."""
    assert len(sheet.errors) == 1, [str(error) for error in sheet.errors]
    return sheet.errors[0]
