"""The cells of a CSV file, whatever usual encoding and separator it has; knows no column."""

import csv
import io
import unicodedata

from jobs.sheets import limits
from jobs.sheets.cells import Raw
from jobs.sheets.errors import marked as _
from jobs.sheets.errors import refused

_UTF16_MARKS = (b"\xff\xfe", b"\xfe\xff")
# What a Western spreadsheet writes beyond ASCII, apart from letters.
_WESTERN_SIGNS = frozenset("€‚ƒ„…†‡ˆ‰‹‘’“”•–—˜™› ¡¢£¥§©ª«¬®¯°±²³´µ¶·¹º»¼½¾¿×÷")
_LONGEST_RUN = 2


def csv_cells(content: bytes) -> list[list[Raw]]:
    """Return the cells of each line, header first; an empty line is an empty list.

    Reads UTF-8 with or without its mark, and Windows Western text; commas, semicolons or tabs.
    Raises SheetRefused.
    """
    text = decoded(content)
    rows: list[list[Raw]] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_separator(text), strict=True)
    try:
        for cells in reader:
            _refuse_too_large(len(rows) + 1, cells)
            rows.append(list(cells))
    except csv.Error as error:
        raise refused(
            _("expected a CSV file; it cannot be read beyond here: %(reason)s"),
            row=len(rows) + 1,
            reason=str(error),
        ) from None
    return rows


def _refuse_too_large(number: int, cells: list[str]) -> None:
    if number > limits.MOST_ROWS + 1:
        raise refused(_("expected at most %(most)d rows"), most=limits.MOST_ROWS)
    if len(cells) > limits.MOST_COLUMNS:
        raise refused(_("expected at most %(most)d columns"), row=number, most=limits.MOST_COLUMNS)
    if any(len(cell) > limits.MOST_CELL_CHARACTERS for cell in cells):
        raise refused(
            _("expected at most %(most)d characters in a cell"),
            row=number,
            most=limits.MOST_CELL_CHARACTERS,
        )


def decoded(content: bytes) -> str:
    """Return the file's text. Raises SheetRefused for an encoding that cannot be told for sure."""
    if content.startswith(_UTF16_MARKS) or b"\x00" in content:
        raise refused(_("expected text in UTF-8; save the sheet as “CSV UTF-8”"))
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return _western(content)


def _western(content: bytes) -> str:
    try:
        text = content.decode("cp1252")
    except UnicodeDecodeError:
        text = "\ufffd"
    if not _is_plausibly_western(text):
        raise refused(_("expected text in UTF-8; save the sheet as “CSV UTF-8”"))
    return text


def _is_plausibly_western(text: str) -> bool:
    """Tell whether accents are rare in it: other encodings read as Western give runs of signs."""
    run = 0
    for char in text:
        if char.isascii():
            run = 0
            continue
        run += 1
        if run > _LONGEST_RUN or not (_is_latin_letter(char) or char in _WESTERN_SIGNS):
            return False
    return True


def _is_latin_letter(char: str) -> bool:
    return char.isalpha() and unicodedata.name(char, "").startswith("LATIN")


def _separator(text: str) -> str:
    """Return the separator that splits the first line into most parts; a comma where none does."""
    head = text.lstrip("\r\n").splitlines()[:1] or [""]
    return max(",;\t", key=head[0].count)
