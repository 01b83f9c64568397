"""The cells of an XLSX file, after it was found harmless; knows no column.

The file is unpacked here under limits, looked through, and packed anew; the reading library only
ever sees what was looked through.
"""

import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from xml.etree.ElementTree import Element, ParseError

import python_calamine
from defusedxml import DefusedXmlException
from defusedxml.ElementTree import fromstring, iterparse

from jobs.sheets import limits
from jobs.sheets.cells import Raw
from jobs.sheets.errors import Expected, SheetError, SheetRefused, refused
from jobs.sheets.errors import marked as _

_RELATION_ID = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_NEEDED = re.compile(
    r"\[Content_Types\]\.xml|_rels/\.rels|xl/(workbook|sharedStrings|styles)\.xml"
    r"|xl/_rels/workbook\.xml\.rels|xl/worksheets/[^/]+\.xml"
)
_REFERENCE = re.compile(r"([A-Z]{1,3})([1-9]\d{0,6})")
_CHUNK = 64 * 1024

Members = dict[str, bytes]


def xlsx_cells(content: bytes) -> list[list[Raw]]:
    """The cells of the first sheet's rows, header first. Raises SheetRefused."""
    members = _unpacked(content)
    try:
        _look_through(members[_first_sheet(members)])
        return _read(_packed(members))
    except (ParseError, DefusedXmlException, KeyError) as error:
        raise _unreadable(error) from None


def _unreadable(error: BaseException) -> SheetRefused:
    return refused(
        _("expected an XLSX workbook; this file is damaged (%(reason)s)"),
        reason=type(error).__name__,
    )


def _unpacked(content: bytes) -> Members:
    """Everything that is needed of the archive. Nothing is unpacked beyond the limits."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            _refuse_bomb(archive, len(content))
            return {
                info.filename: _member(archive, info)
                for info in archive.infolist()
                if _NEEDED.fullmatch(info.filename)
            }
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, EOFError, OSError) as error:
        raise _unreadable(error) from None


def _refuse_bomb(archive: zipfile.ZipFile, packed_bytes: int) -> None:
    """Judge by what the archive says of itself; `_member` then holds it to that."""
    infos = archive.infolist()
    unpacked_bytes = sum(info.file_size for info in infos)
    blown_up = unpacked_bytes > max(packed_bytes * limits.MOST_RATIO, limits.RATIO_FREE_BYTES)
    if len(infos) > limits.MOST_MEMBERS or blown_up or unpacked_bytes > limits.MOST_UNPACKED_BYTES:
        raise refused(_("expected a workbook of usual size; this one unpacks to far too much"))
    if any(info.flag_bits & 0x1 for info in infos):
        raise refused(_("expected a workbook without a password"))


def _member(archive: zipfile.ZipFile, info: zipfile.ZipInfo) -> bytes:
    """One member, never more of it than it was said to hold (else its check sum is wrong)."""
    with archive.open(info) as stream:
        return b"".join(iter(lambda: stream.read(_CHUNK), b""))


def _packed(members: Members) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return buffer.getvalue()


def _first_sheet(members: Members) -> str:
    """The name of the first worksheet's member."""
    book = fromstring(members["xl/workbook.xml"], forbid_dtd=True)
    sheet = next((node for node in book.iter() if _tag(node) == "sheet"), None)
    if sheet is None:
        raise refused(_("expected a workbook with a sheet in it"))
    relations = fromstring(members["xl/_rels/workbook.xml.rels"], forbid_dtd=True)
    wanted = sheet.get(_RELATION_ID) or _strict_id(sheet)
    target = next(node.get("Target") or "" for node in relations if node.get("Id") == wanted)
    return target.lstrip("/") if target.startswith("/") else f"xl/{target}"


def _strict_id(sheet: Element) -> str:
    """The relation's id in a workbook of the standard's strict form."""
    return next((value for name, value in sheet.attrib.items() if name.endswith("}id")), "")


def _tag(node: Element) -> str:
    return str(node.tag).rpartition("}")[2]


def _look_through(sheet: bytes) -> None:
    """Raise SheetRefused at the first formula, broken cell, or cell beyond the limits."""
    for place, cell in _cells(sheet):
        row, column = place
        if row > limits.MOST_ROWS + 1:
            raise refused(_("expected at most %(most)d rows"), most=limits.MOST_ROWS)
        if column > limits.MOST_COLUMNS:
            raise refused(_("expected at most %(most)d columns"), row=row, most=limits.MOST_COLUMNS)
        if any(_tag(node) == "f" for node in cell):
            wanted = _("expected a value; a formula stands here (copy, then paste as values)")
            raise _at(place, "=…", wanted)
        if cell.get("t") == "e":
            raise _at(
                place, "".join(cell.itertext()), _("expected a value; the sheet has an error")
            )


def _at(place: tuple[int, int], value: str, template: str) -> SheetRefused:
    row, column = place
    return SheetRefused(SheetError(row, column_letters(column), value, Expected(template)))


def _cells(sheet: bytes) -> Iterator[tuple[tuple[int, int], Element]]:
    """Each cell with its row and column, counted on where the file leaves them out."""
    row = column = 0
    for event, node in iterparse(io.BytesIO(sheet), events=("start", "end"), forbid_dtd=True):
        tag = _tag(node)
        if tag == "row" and event == "start":
            row, column = _whole(node.get("r"), row + 1), 0
        elif tag == "row":
            node.clear()
        elif tag == "c" and event == "end":
            row_of_cell, column = _place(node.get("r"), row, column + 1)
            yield (row_of_cell, column), node


def _whole(text: str | None, otherwise: int) -> int:
    return int(text) if text and text.isascii() and text.isdigit() else otherwise


def _place(reference: str | None, row: int, column: int) -> tuple[int, int]:
    match = _REFERENCE.fullmatch(reference or "")
    if match is None:
        return row, column
    letters, digits = match.groups()
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - ord("A") + 1
    return max(row, int(digits)), number


def column_letters(column: int) -> str:
    """The letters of a column, counted from 1: A, B, ... Z, AA."""
    letters = ""
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def _read(content: bytes) -> list[list[Raw]]:
    try:
        book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(content))
        sheet = book.get_sheet_by_index(0)
        rows: list[list[Raw]] = [[*row] for row in sheet.to_python(skip_empty_area=False)]
    except python_calamine.CalamineError as error:
        raise _unreadable(error) from None
    _refuse_long_cells(rows)
    return rows


def _refuse_long_cells(rows: list[list[Raw]]) -> None:
    for number, row in enumerate(rows, start=1):
        if any(isinstance(c, str) and len(c) > limits.MOST_CELL_CHARACTERS for c in row):
            raise refused(
                _("expected at most %(most)d characters in a cell"),
                row=number,
                most=limits.MOST_CELL_CHARACTERS,
            )
