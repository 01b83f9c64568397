"""The cells of an XLSX file, read by openpyxl row by row under our limits; knows no column.

What a cell holds is for openpyxl to say; where cells may stand, and what no job sheet needs, is
said here. Parts that hold no cell of the first sheet are left packed: macros, pictures, links.
"""

import io
import warnings
from collections.abc import Iterator, Mapping
from datetime import datetime, time
from typing import Any, cast
from xml.etree.ElementTree import Element, ParseError
from zipfile import BadZipFile
from zlib import error as ZlibError  # noqa: N812

from defusedxml.ElementTree import fromstring, iterparse
from openpyxl.reader.workbook import WorkbookParser
from openpyxl.styles.numbers import BUILTIN_FORMATS, is_date_format, is_timedelta_format
from openpyxl.utils import get_column_letter
from openpyxl.utils.escape import unescape
from openpyxl.worksheet._reader import FORMULA_TAG, ROW_TAG, WorkSheetParser
from openpyxl.xml.constants import SHEET_MAIN_NS

from jobs.sheets import limits
from jobs.sheets.cells import Raw
from jobs.sheets.errors import Expected, SheetError, SheetRefused, refused
from jobs.sheets.errors import marked as _
from jobs.sheets.xlsx_zip import Parts, damaged

_IN = f"{{{SHEET_MAIN_NS}}}"
_FORMATS, _CELL_STYLES = f"{_IN}numFmts/{_IN}numFmt", f"{_IN}cellXfs/{_IN}xf"
_TEXTS, _TEXT, _RUN_TEXT = f"{_IN}si", f"{_IN}t", f"{_IN}r/{_IN}t"
_BOOK, _STRINGS, _STYLES = "xl/workbook.xml", "xl/sharedStrings.xml", "xl/styles.xml"
# What a file that is not as it should be makes openpyxl, zipfile and expat raise.
_FAULTS = (
    *(ArithmeticError, AttributeError, LookupError, RuntimeError, TypeError, ValueError),
    *(BadZipFile, EOFError, OSError, ParseError, ZlibError),
)

Found = Mapping[str, Any]  # a cell as openpyxl found it: row, column, data_type and value


def xlsx_cells(content: bytes) -> list[list[Raw]]:
    """Return the cells of the first sheet's rows, header first. Raises SheetRefused."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what openpyxl leaves out, a job sheet does not need
            return _table(_rows(Parts(content)))
    except _FAULTS as error:
        raise damaged(type(error).__name__) from None


def _table(rows: Iterator[tuple[int, list[Found]]]) -> list[list[Raw]]:
    """Return each value at its place; rows and columns that the file leaves out are empty."""
    table: list[list[Raw]] = []
    for number, cells in rows:
        _refuse_misplaced(number, [cell["column"] for cell in cells], len(table))
        values = {cell["column"]: _value(cell) for cell in cells}
        width = max((column for column, value in values.items() if value is not None), default=0)
        if width:
            table += [[] for _row in range(len(table) + 1, number)]
            table.append([values.get(column) for column in range(1, width + 1)])
    return table


def _rows(parts: Parts) -> Iterator[tuple[int, list[Found]]]:
    """Yield each row of the first sheet that has cells: its number and the cells as they stand."""
    book = WorkbookParser(parts, _BOOK, keep_links=False)
    book.parse()
    sheet = next(book.find_sheets(), None)
    if sheet is None:
        raise refused(_("expected a workbook with a sheet in it"))
    reader = WorkSheetParser(
        None, _texts(parts), data_only=True, epoch=book.wb.epoch, **_date_styles(parts)
    )
    content = parts.read(sheet[1].target, limits.MOST_CELL_MARKS)
    for _event, node in iterparse(io.BytesIO(content), forbid_dtd=True):
        if node.tag == ROW_TAG:
            number, cells = reader.parse_row(node)
            for written, cell in zip(node, cells, strict=True):
                _refuse_written(written, number, cell)
            node.clear()
            yield number, cells


def _texts(parts: Parts) -> dict[int, str]:
    """Return texts that cells name by number, without what is only said of their sound and look.

    Not a list, in which -1 would be the last; and openpyxl's own reader fails at an odd font.
    """
    if _STRINGS not in parts:
        return {}
    root = fromstring(parts.read(_STRINGS, limits.MOST_CELL_MARKS), forbid_dtd=True)
    return {
        number: "".join(t.text or "" for way in (_TEXT, _RUN_TEXT) for t in text.iterfind(way))
        for number, text in enumerate(root.iterfind(_TEXTS))
    }


def _date_styles(parts: Parts) -> dict[str, set[int]]:
    """Return the styles in which a number is a date, and those in which it is a duration."""
    dates, durations = set[int](), set[int]()
    if _STYLES in parts:
        root = fromstring(parts.read(_STYLES, limits.MOST_CELL_MARKS), forbid_dtd=True)
        own = {one.get("numFmtId"): one.get("formatCode") for one in root.iterfind(_FORMATS)}
        for style, shown_in in enumerate(root.iterfind(_CELL_STYLES)):
            number = shown_in.get("numFmtId", "0")
            code = own.get(number) or BUILTIN_FORMATS.get(int(number), "")
            # Looking for a date in a format takes the square of its length.
            if is_date_format(code[: limits.MOST_FORMAT_CHARACTERS]):
                dates.add(style)
            if is_timedelta_format(code[: limits.MOST_FORMAT_CHARACTERS]):
                durations.add(style)
    return {"date_formats": dates, "timedelta_formats": durations}


def _refuse_written(written: Element, number: int, cell: Found) -> None:
    """Refuse a cell that names another place than its own, and one that holds a formula."""
    if written.get("r") not in (None, f"{get_column_letter(cell['column'])}{number}"):
        raise damaged(f"cell {written.get('r', '')[:20]!r}")
    if written.find(FORMULA_TAG) is not None:
        raise _at(cell, "=…", _("expected a value; a formula stands here (paste it as a value)"))


def _refuse_misplaced(row: int, columns: list[int], rows_before: int) -> None:
    """Refuse cells out of order, of which a table keeps the last only, and cells far out."""
    if not columns:
        return
    if row <= rows_before or columns != sorted(set(columns)):
        raise damaged("cells out of order")
    if row > limits.MOST_ROWS + 1:
        raise refused(_("expected at most %(most)d rows"), most=limits.MOST_ROWS)
    if columns[-1] > limits.MOST_COLUMNS:
        raise refused(_("expected at most %(most)d columns"), row=row, most=limits.MOST_COLUMNS)


def _value(cell: Found) -> Raw:
    """Return what the cell says; None where that is nothing."""
    value = cell["value"]
    if cell["data_type"] == "e":
        raise _at(cell, value or "", _("expected a value; the sheet has an error here"))
    if isinstance(value, str):
        value = unescape(value)  # a control character stands as _x000D_
        _refuse_long(value, cell["row"])
        return value if value.strip() else None
    if isinstance(value, int | float) and not abs(value) < limits.LARGEST_NUMBER:
        raise damaged(f"number {str(value)[:20]!r}")
    if isinstance(value, datetime) and value.time() == time.min:
        return value.date()
    return cast(Raw, value)


def _refuse_long(text: str, row: int) -> None:
    if len(text) > limits.MOST_CELL_CHARACTERS:
        raise refused(
            _("expected at most %(most)d characters in a cell"),
            row=row,
            most=limits.MOST_CELL_CHARACTERS,
        )


def _at(cell: Found, value: str, template: str) -> SheetRefused:
    column = get_column_letter(cell["column"])
    return SheetRefused(SheetError(cell["row"], column, value, Expected(template)))
