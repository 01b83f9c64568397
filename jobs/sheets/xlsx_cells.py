"""The cells of a worksheet's XML, each with its place; refuses what no job sheet needs."""

import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from defusedxml.ElementTree import fromstring, iterparse

from jobs.sheets import limits
from jobs.sheets.errors import Expected, SheetError, SheetRefused, refused
from jobs.sheets.errors import marked as _
from jobs.sheets.xlsx_zip import damaged

_REFERENCE = re.compile(r"([A-Z]{1,3})([1-9]\d{0,6})")
_ROW = re.compile(r"[1-9]\d{0,6}")
_STYLE = re.compile(r"\d{1,5}")


@dataclass(frozen=True)
class Cell:
    """A cell as it stands: its place, what it holds, and for a number the style it is shown in."""

    row: int
    column: int
    kind: str  # "text", "number" or "truth"
    value: str
    style: str

    @property
    def reference(self) -> str:
        """The place as spreadsheets write it: B7."""
        return f"{column_letters(self.column)}{self.row}"


def tag(node: Element) -> str:
    """The element's name without its namespace; workbooks come in two of those."""
    return str(node.tag).rpartition("}")[2]


def column_letters(column: int) -> str:
    """The letters of a column, counted from 1: A, B, ... Z, AA."""
    letters = ""
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def shared_strings(content: bytes | None) -> list[str]:
    """The texts that cells name by number, without what is only said of their sound."""
    if content is None:
        return []
    table = fromstring(content, forbid_dtd=True)
    return [_text(node) for node in table if tag(node) == "si"]


def _text(node: Element) -> str:
    parts = [node] if tag(node) == "t" else []
    for child in node:
        if tag(child) == "t":
            parts.append(child)
        elif tag(child) == "r":
            parts += [part for part in child if tag(part) == "t"]
    return "".join(part.text or "" for part in parts)


def sheet_cells(sheet: bytes, strings: Sequence[str]) -> Iterator[Cell]:
    """Each cell that says something, in order.

    Raises SheetRefused at a formula, a broken cell, a cell beyond the limits or out of order.
    """
    before = (0, 0)
    for place, node in _placed(sheet):
        if place <= before:
            raise damaged("cells out of order")
        before = place
        _refuse_beyond(*place)
        cell = _cell(place, node, strings)
        if cell is not None:
            yield cell


def _placed(sheet: bytes) -> Iterator[tuple[tuple[int, int], Element]]:
    """Each cell with its row and column, counted on where the file leaves them out."""
    row = column = 0
    for event, node in iterparse(io.BytesIO(sheet), events=("start", "end"), forbid_dtd=True):
        name = tag(node)
        if name == "row" and event == "start":
            row, column = _row(node.get("r"), row + 1), 0
        elif name == "row":
            node.clear()
        elif name == "c" and event == "end":
            place = _place(node.get("r"), row, column + 1)
            column = place[1]
            yield place, node


def _row(text: str | None, otherwise: int) -> int:
    if text is None:
        return otherwise
    if not _ROW.fullmatch(text):
        raise damaged(f"row {text[:20]!r}")
    return int(text)


def _place(reference: str | None, row: int, column: int) -> tuple[int, int]:
    if reference is None:
        return row, column
    match = _REFERENCE.fullmatch(reference)
    if match is None or int(match[2]) != row:
        raise damaged(f"cell {reference[:20]!r}")
    number = 0
    for letter in match[1]:
        number = number * 26 + ord(letter) - ord("A") + 1
    return row, number


def _refuse_beyond(row: int, column: int) -> None:
    if row > limits.MOST_ROWS + 1:
        raise refused(_("expected at most %(most)d rows"), most=limits.MOST_ROWS)
    if column > limits.MOST_COLUMNS:
        raise refused(_("expected at most %(most)d columns"), row=row, most=limits.MOST_COLUMNS)


def _cell(place: tuple[int, int], node: Element, strings: Sequence[str]) -> Cell | None:
    children = {tag(child): child for child in node}
    if "f" in children:
        raise _at(place, "=…", _("expected a value; a formula stands here (paste it as a value)"))
    kind = node.get("t") or "n"
    written = (children["v"].text or "") if "v" in children else ""
    if kind == "e":
        raise _at(place, written, _("expected a value; the sheet has an error here"))
    if kind == "inlineStr":
        text = _text(children["is"]) if "is" in children else ""
        return Cell(*place, "text", text, "") if text else None
    if not written.strip():
        return None
    return _valued(place, kind, written, node.get("s") or "", strings)


def _valued(
    place: tuple[int, int], kind: str, written: str, style: str, strings: Sequence[str]
) -> Cell:
    if kind == "s":
        return Cell(*place, "text", _shared(written, strings), "")
    if kind in ("str", "d"):
        return Cell(*place, "text", written.removesuffix("T00:00:00"), "")
    if kind == "b":
        return Cell(*place, "truth", "1" if written.strip() == "1" else "0", "")
    return Cell(*place, "number", _number(written), style if _STYLE.fullmatch(style) else "")


def _shared(written: str, strings: Sequence[str]) -> str:
    try:
        return strings[int(written)] if int(written) >= 0 else strings[len(strings)]
    except (ValueError, IndexError):
        raise damaged(f"text number {written[:20]!r}") from None


def _number(written: str) -> str:
    """A number that can stand in a sheet; dates are small numbers too."""
    try:
        number = float(written)
    except ValueError:
        raise damaged(f"number {written[:20]!r}") from None
    if not abs(number) < limits.LARGEST_NUMBER:
        raise damaged(f"number {written[:20]!r}")
    return repr(number)


def _at(place: tuple[int, int], value: str, template: str) -> SheetRefused:
    row, column = place
    return SheetRefused(SheetError(row, column_letters(column), value, Expected(template)))
