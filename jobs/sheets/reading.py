"""A file's bytes to the rows of a job sheet, with all their errors; must not know the database."""

from jobs.sheets import limits
from jobs.sheets.cells import Raw
from jobs.sheets.csv_file import csv_cells
from jobs.sheets.errors import SheetRefused, refused
from jobs.sheets.errors import marked as _
from jobs.sheets.rows import Sheet, sheet_of
from jobs.sheets.xlsx_file import xlsx_cells

_ZIP = b"PK\x03\x04"
_OLD_OFFICE = b"\xd0\xcf\x11\xe0"
_NO_SHEETS = (b"%PDF", b"\x89PNG", b"\xff\xd8\xff", b"GIF8", b"{\\rtf", b"<")


def sheet_read(content: bytes) -> Sheet:
    """Read a sheet, CSV or XLSX by what it is and not by its name; never raises.

    The result holds the rows that are right, and every error of the others: by row (1 is the
    header, 0 the file as a whole), column, value as written, and what was expected. Whether rows
    agree with each other is for `agreement`, once empty branches are filled in.
    """
    try:
        return sheet_of(sheet_cells(content))
    except SheetRefused as refusal:
        return Sheet(errors=(refusal.error,))


def sheet_cells(content: bytes) -> list[list[Raw]]:
    """Return the cells of a CSV or XLSX file, row by row; raises SheetRefused for no sheet."""
    if not content.strip():
        raise refused(_("expected a sheet; the file is empty"))
    if len(content) > limits.MOST_BYTES:
        raise refused(_("expected at most %(most)d bytes"), most=limits.MOST_BYTES)
    if content.startswith(_ZIP):
        return xlsx_cells(content)
    if content.startswith(_OLD_OFFICE):
        raise refused(_("expected XLSX or CSV; save the old or locked workbook as XLSX"))
    if content.startswith(_NO_SHEETS):
        raise refused(_("expected a sheet, XLSX or CSV; this is another kind of file"))
    return csv_cells(content)
