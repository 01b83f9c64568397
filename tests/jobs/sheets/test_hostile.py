"""Sheets from hostile hands: each is refused with a reason, quickly, and none is worked through."""

import io
import time
import zipfile

import openpyxl
import pytest
from openpyxl import Workbook

from jobs.sheets import limits, sheet_read
from tests.jobs.sheets.samples import ATTIC, csv_of, only_error, repacked, xlsx_of

SHEET = "xl/worksheets/sheet1.xml"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


def sheet_xml(rows: str, head: str = "") -> bytes:
    return f'{head}<worksheet xmlns="{MAIN}"><sheetData>{rows}</sheetData></worksheet>'.encode()


def refused(content: bytes) -> str:
    sheet = sheet_read(content)
    assert sheet.rows == ()
    return str(only_error(sheet))


def test_a_formula_cell_is_named() -> None:
    def formula(book: Workbook) -> None:
        book.active["F2"] = "=500*3"

    assert refused(xlsx_of(ATTIC, change=formula)).startswith("row 2, column F")


def test_a_formula_on_another_sheet_is_nobodys_business() -> None:
    def more(book: Workbook) -> None:
        book.create_sheet("sums")["A1"] = "=1+1"

    assert sheet_read(xlsx_of(ATTIC, change=more)).errors == ()


def test_a_broken_cell_is_named() -> None:
    def broken(book: Workbook) -> None:
        book.active["F2"].value = "#REF!"
        book.active["F2"].data_type = "e"

    assert "row 2, column F" in refused(xlsx_of(ATTIC, change=broken))


@pytest.mark.parametrize("text", ["=1+1", "@x", "+SUM(A1)", "-2+3", "+x|y"])
def test_a_text_that_begins_like_a_formula_is_refused_in_a_workbook_too(text: str) -> None:
    def typed(book: Workbook) -> None:
        book.active["A2"].value = text
        book.active["A2"].data_type = "s"

    assert "formula" in refused(xlsx_of(ATTIC, change=typed))


@pytest.mark.parametrize("text", ["- dog in the yard", "+1 porch", "-"])
def test_a_dash_or_plus_before_words_is_a_text(text: str) -> None:
    def typed(book: Workbook) -> None:
        book.active["A2"].value = text
        book.active["A2"].data_type = "s"

    assert sheet_read(xlsx_of(ATTIC, change=typed)).errors == ()


def test_an_archive_that_unpacks_a_thousandfold_is_refused() -> None:
    bomb = repacked(xlsx_of(ATTIC), {"xl/media/big.bin": b"0" * 30_000_000})
    assert len(bomb) < 100_000
    assert "unpacks" in refused(bomb)


def test_an_archive_that_lies_about_its_size_is_refused() -> None:
    content = bytearray(repacked(xlsx_of(ATTIC), {SHEET: sheet_xml(" " * 3_000_000)}))
    true_size = (len(sheet_xml(" " * 3_000_000))).to_bytes(4, "little")
    assert content.count(true_size) == 2
    lying = bytes(content).replace(true_size, (100).to_bytes(4, "little"))
    assert "damaged" in refused(lying)


def test_many_members_are_refused() -> None:
    many = {f"xl/media/{index}.bin": b"" for index in range(limits.MOST_MEMBERS + 1)}
    assert "unpacks" in refused(repacked(xlsx_of(ATTIC), many))


def test_entities_are_refused() -> None:
    """The billion laughs: entities in terms of entities (XML 1.0, section 4.2)."""
    laughs = '<!DOCTYPE w [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>'
    row = '<row r="1"><c r="A1" t="inlineStr"><is><t>&b;</t></is></c></row>'
    assert "damaged" in refused(repacked(xlsx_of(ATTIC), {SHEET: sheet_xml(row, laughs)}))


def test_a_file_of_the_machine_is_not_read() -> None:
    outside = '<!DOCTYPE w [<!ENTITY a SYSTEM "file:///etc/passwd">]>'
    row = '<row r="1"><c r="A1" t="inlineStr"><is><t>&a;</t></is></c></row>'
    assert "damaged" in refused(repacked(xlsx_of(ATTIC), {SHEET: sheet_xml(row, outside)}))


def test_openpyxl_reads_with_the_guard_against_entities() -> None:
    """It does so where defusedxml is installed, and without a word does not where it is not."""
    assert openpyxl.DEFUSEDXML


@pytest.mark.parametrize(
    "name", ["sharedStrings.xml", "styles.xml", "workbook.xml", "_rels/workbook.xml.rels"]
)
def test_entities_are_refused_in_every_part_that_is_read(name: str) -> None:
    content = repacked(xlsx_of(ATTIC), {"xl/sharedStrings.xml": f'<sst xmlns="{MAIN}"/>'.encode()})
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        part = archive.read(f"xl/{name}")
    assert sheet_read(content).errors == ()
    laughing = b'<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;">]>' + part
    assert "damaged" in refused(repacked(content, {f"xl/{name}": laughing}))


def test_a_text_counted_from_the_end_is_refused() -> None:
    texts = f'<sst xmlns="{MAIN}"><si><t>builder</t></si></sst>'.encode()
    row = sheet_xml('<row><c t="s"><v>-1</v></c></row>')
    content = repacked(xlsx_of(ATTIC), {SHEET: row, "xl/sharedStrings.xml": texts})
    assert "damaged" in refused(content)


@pytest.mark.parametrize(
    ("name", "head", "one"),
    [
        ("xl/workbook.xml", "workbook", "<sheets/>"),
        ("xl/styles.xml", "styleSheet", "<xf/>"),
        ("xl/sharedStrings.xml", "sst", "<si/>"),
        (SHEET, "worksheet", "<c/>"),
    ],
)
def test_a_part_of_very_many_elements_is_refused_before_it_is_read(
    name: str, head: str, one: str
) -> None:
    """Each element takes a hundred bytes and more, however few the file needs for it."""
    noise = "".join(f"<!--{n * 7919 % 1_000_003}-->" for n in range(80_000))  # packs badly
    text = f'<{head} xmlns="{MAIN}">{one * limits.MOST_CELL_MARKS}{noise}</{head}>'
    assert "unpacks" in refused(repacked(xlsx_of(ATTIC), {name: text.encode()}))


def test_a_format_of_brackets_does_not_keep_anyone_waiting() -> None:
    def styled(book: Workbook) -> None:
        book.active["F2"].number_format = "[" * 200_000

    begun = time.perf_counter()
    assert sheet_read(xlsx_of(ATTIC, change=styled)).errors == ()
    assert time.perf_counter() - begun < 5  # the square of it would take minutes


def test_macros_pictures_and_other_files_are_left_packed() -> None:
    """Their parts may be broken or hostile: nothing opens them."""
    beside = (
        "vbaProject.bin",
        "externalLinks/externalLink1.xml",
        "media/image1.png",
        "x/theme.xml",
    )
    extra = {f"xl/{name}": b"<!DOCTYPE x" for name in beside}
    assert sheet_read(repacked(xlsx_of(ATTIC), extra)).errors == ()


def test_a_merged_range_makes_no_cells() -> None:
    content = xlsx_of(ATTIC)
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        whole = b'</sheetData><mergeCells><mergeCell ref="J2:XFD1048576"/></mergeCells>'
        sheet = archive.read(SHEET).replace(b"</sheetData>", whole)
    assert sheet_read(repacked(content, {SHEET: sheet})).errors == ()


def test_a_formula_that_is_shared_with_other_cells_is_named_at_its_first() -> None:
    row = '<row r="3"><c r="C3"><v>1</v></c><c r="F3"><f t="shared" si="0">)(</f><v>1</v></c></row>'
    assert refused(repacked(xlsx_of(ATTIC), {SHEET: sheet_xml(row)})).startswith("row 3, column F:")


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ('<row r="1048576"><c r="A1048576"><v>1</v></c></row>', "rows"),
        ('<row r="9"><c r="A1048576"><v>1</v></c></row>', "damaged"),
        ('<row r="1"><c r="A4294967297"><v>1</v></c></row>', "damaged"),
        ('<row r="1"><c r="FXSHRXX1"><v>1</v></c></row>', "damaged"),
        ('<row r="1"><c r="a1"><v>1</v></c></row>', "damaged"),
        ('<row r="-1"><c><v>1</v></c></row>', "damaged"),
        ('<row r="0"><c><v>1</v></c></row>', "damaged"),
        ('<row r="2"><c><v>1</v></c></row><row r="1"><c><v>1</v></c></row>', "damaged"),
        ('<row r="1"><c r="B1"><v>1</v></c><c r="A1"><v>1</v></c></row>', "damaged"),
        ('<row r="1"><c t="s"><v>7</v></c></row>', "damaged"),
        ('<row r="1"><c t="s"><v>-1</v></c></row>', "damaged"),
        ('<row r="1"><c><v>1e308</v></c></row>', "damaged"),
        ('<row r="1"><c><v>nan</v></c></row>', "damaged"),
        ('<row r="1"><c><v>one</v></c></row>', "damaged"),
        ('<row r="1"><c r="XFD1"><v>1</v></c></row>', "columns"),
        ('<row r="99999"><c><v>1</v></c></row>', "rows"),
    ],
)
def test_a_cell_out_of_the_way_is_refused_before_a_table_is_laid_out(cell: str, words: str) -> None:
    assert words in refused(repacked(xlsx_of(ATTIC), {SHEET: sheet_xml(cell)}))


def test_a_stated_size_of_the_sheet_is_not_believed() -> None:
    sheet = sheet_xml("").replace(b"<sheetData>", b'<dimension ref="A1:XFD1048576"/><sheetData>')
    assert "missing" in str(sheet_read(repacked(xlsx_of(ATTIC), {SHEET: sheet})).errors[0])


def test_a_million_rows_are_refused() -> None:
    assert "rows" in refused(csv_of(ATTIC) + b"\n" * 1_000_000)
    rows = "<row><c><v>1</v></c></row>" * 20_000
    assert "rows" in refused(repacked(xlsx_of(ATTIC), {SHEET: sheet_xml(rows)}))


def test_many_columns_are_refused() -> None:
    assert "columns" in refused(b"builder" + b"," * limits.MOST_COLUMNS + b"\n")


def test_a_large_file_is_refused() -> None:
    assert "bytes" in refused(b"a" * (limits.MOST_BYTES + 1))


@pytest.mark.parametrize("write", [csv_of, xlsx_of])
def test_a_long_cell_is_refused(write: object) -> None:
    long = {**ATTIC, "note": "x" * (limits.MOST_CELL_CHARACTERS + 1)}
    assert "characters in a cell" in refused(write(long))  # type: ignore[operator]


def test_an_open_quote_is_refused() -> None:
    assert "cannot be read" in refused(csv_of(ATTIC) + b'"never closed')


def test_nul_bytes_are_refused() -> None:
    assert "UTF-8" in refused(csv_of(ATTIC) + b"\x00")


@pytest.mark.parametrize(
    "content",
    [b"\xd0\xcf\x11\xe0old", b"%PDF-1.7", b"\x89PNG\r\n", b"<html>", b"<svg onload=1>", b"GIF89a"],
)
def test_another_kind_of_file_is_refused_whatever_its_name(content: bytes) -> None:
    assert "XLSX" in refused(content)


def test_an_archive_that_is_no_workbook_is_refused() -> None:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("word/document.xml", "<w/>")
    assert "damaged" in refused(buffer.getvalue())


def test_a_locked_archive_is_refused() -> None:
    content = bytearray(xlsx_of(ATTIC))
    at = content.index(b"PK\x01\x02")
    content[at + 8] |= 1
    assert "password" in refused(bytes(content))


@pytest.mark.parametrize("column", ["A", "Z", "AA", "AZ", "CV"])
def test_a_place_has_the_letters_of_a_spreadsheet(column: str) -> None:
    def formula(book: Workbook) -> None:
        book.active[f"{column}2"] = "=1"

    assert refused(xlsx_of(ATTIC, change=formula)).startswith(f"row 2, column {column}:")
