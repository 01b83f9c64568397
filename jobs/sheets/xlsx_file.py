"""The cells of an XLSX file, after it was found harmless; knows no column.

The file is unpacked under limits and looked through, and its first sheet is written anew, plainly.
The reading library, which can be brought down by a single cell far out, sees only that.
"""

import io
from collections.abc import Iterable
from xml.etree.ElementTree import Element, ParseError, SubElement, tostring

import python_calamine
from defusedxml import DefusedXmlException
from defusedxml.ElementTree import fromstring

from jobs.sheets import limits
from jobs.sheets.cells import Raw
from jobs.sheets.errors import marked as _
from jobs.sheets.errors import refused
from jobs.sheets.xlsx_cells import Cell, shared_strings, sheet_cells, tag
from jobs.sheets.xlsx_zip import Members, damaged, packed, unpacked

_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"
_TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
_KIND = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_PARTS = {
    "[Content_Types].xml": f'<Types xmlns="{_TYPES}">'
    '<Default Extension="xml" ContentType="application/xml"/>'
    '<Default Extension="rels"'
    ' ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    f'<Override PartName="/xl/workbook.xml" ContentType="{_KIND}.sheet.main+xml"/>'
    f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{_KIND}.worksheet+xml"/>'
    f'<Override PartName="/xl/styles.xml" ContentType="{_KIND}.styles+xml"/></Types>',
    "_rels/.rels": f'<Relationships xmlns="{_PACKAGE}"><Relationship Id="r1"'
    f' Type="{_OFFICE}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
    "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_PACKAGE}">'
    f'<Relationship Id="r1" Type="{_OFFICE}/worksheet" Target="worksheets/sheet1.xml"/>'
    f'<Relationship Id="r2" Type="{_OFFICE}/styles" Target="styles.xml"/></Relationships>',
}


def xlsx_cells(content: bytes) -> list[list[Raw]]:
    """The cells of the first sheet's rows, header first. Raises SheetRefused."""
    members = unpacked(content)
    try:
        return _read(_plain_book(members))
    except (ParseError, DefusedXmlException, KeyError, StopIteration) as error:
        raise damaged(type(error).__name__) from None


def _plain_book(members: Members) -> bytes:
    """A workbook of nothing but the first sheet's values and the styles that tell dates."""
    book = fromstring(members["xl/workbook.xml"], forbid_dtd=True)
    strings = shared_strings(members.get("xl/sharedStrings.xml"))
    cells = sheet_cells(members[_first_sheet(book, members)], strings)
    parts = {name: text.encode() for name, text in _PARTS.items()}
    return packed(
        {
            **parts,
            "xl/workbook.xml": _book(book),
            "xl/worksheets/sheet1.xml": _sheet(cells),
            "xl/styles.xml": _styles(members),
        }
    )


def _first_sheet(book: Element, members: Members) -> str:
    """The name of the first worksheet's member."""
    sheet = next((node for node in book.iter() if tag(node) == "sheet"), None)
    if sheet is None:
        raise refused(_("expected a workbook with a sheet in it"))
    wanted = next(value for name, value in sheet.attrib.items() if name.endswith("}id"))
    relations = fromstring(members["xl/_rels/workbook.xml.rels"], forbid_dtd=True)
    target = next(node.get("Target") or "" for node in relations if node.get("Id") == wanted)
    return target.lstrip("/") if target.startswith("/") else f"xl/{target}"


def _book(book: Element) -> bytes:
    """A workbook part that keeps only from which year the dates are counted."""
    of_1904 = any(
        node.get("date1904") in ("1", "true") for node in book.iter() if tag(node) == "workbookPr"
    )
    plain = Element("workbook", {"xmlns": _MAIN, "xmlns:r": _OFFICE})
    SubElement(plain, "workbookPr", {"date1904": "1"} if of_1904 else {})
    SubElement(SubElement(plain, "sheets"), "sheet", {"name": "jobs", "sheetId": "1", "r:id": "r1"})
    return tostring(plain)


def _sheet(cells: Iterable[Cell]) -> bytes:
    plain = Element("worksheet", {"xmlns": _MAIN})
    data = SubElement(plain, "sheetData")
    row, number = data, 0
    for cell in cells:
        if cell.row != number:
            row, number = SubElement(data, "row", {"r": str(cell.row)}), cell.row
        _write(row, cell)
    return tostring(plain)


def _write(row: Element, cell: Cell) -> None:
    node = SubElement(row, "c", {"r": cell.reference})
    if cell.kind == "text":
        node.set("t", "inlineStr")
        SubElement(SubElement(node, "is"), "t", {"xml:space": "preserve"}).text = cell.value
        return
    if cell.kind == "truth":
        node.set("t", "b")
    elif cell.style:
        node.set("s", cell.style)
    SubElement(node, "v").text = cell.value


def _styles(members: Members) -> bytes:
    """The part that tells which numbers are dates, as far as that goes."""
    plain = Element("styleSheet", {"xmlns": _MAIN})
    if "xl/styles.xml" in members:
        for node in fromstring(members["xl/styles.xml"], forbid_dtd=True):
            if tag(node) in ("numFmts", "cellXfs"):
                _copy_styles(plain, node)
    return tostring(plain)


def _copy_styles(plain: Element, node: Element) -> None:
    kept = SubElement(plain, tag(node))
    for child in node:
        names = ("numFmtId", "formatCode") if tag(child) == "numFmt" else ("numFmtId",)
        found = {name: child.get(name, "0")[: limits.MOST_FORMAT_CHARACTERS] for name in names}
        SubElement(kept, tag(child), found)


def _read(content: bytes) -> list[list[Raw]]:
    try:
        book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(content))
        sheet = book.get_sheet_by_index(0)
        rows: list[list[Raw]] = [[*row] for row in sheet.to_python(skip_empty_area=False)]
    except (python_calamine.CalamineError, OverflowError, ValueError) as error:
        raise damaged(type(error).__name__) from None
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
