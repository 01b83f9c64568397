"""The checklist on paper: letter sheets with a QR code, a code to type and boxes to tick.

Made by fpdf2 in Noto Sans, which has the letters of every name written in Latin, Greek or
Cyrillic; a sign that it lacks is written without its mark, or as a question mark.
"""

import unicodedata
from collections.abc import Container
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import cast

import segno
from django.utils.translation import gettext as _
from fpdf import FPDF
from fpdf.enums import XPos, YPos
from fpdf.fonts import TTFFont
from pymupdf_fonts import fontbuffers

FONT = "Noto Sans"
CUTS = {"": "notos", "B": "notosbo"}  # style: its name in the package of fonts
MARGIN_MM = 15
WIDTH_MM = 215.9 - 2 * MARGIN_MM  # US letter
QR_MM = 34
BOX_MM = 4.5
TICK_MM, DAY_MM = 18, 34
TEXT_MM = WIDTH_MM - 2 * TICK_MM - DAY_MM
LINE_MM = 4.6
QUIET_MODULES = 4  # the blank frame that a QR code needs, ISO/IEC 18004


@dataclass(frozen=True)
class SheetItem:
    """One thing on the sheet, in the words of its reader."""

    name: str
    under: str


@dataclass(frozen=True)
class SheetHouse:
    """One house: its name, when our crew comes, what it owes, and its address for the QR code."""

    name: str
    when: str
    items: tuple[SheetItem, ...]
    address: str


@dataclass(frozen=True)
class PaperSheet:
    """A whole print: houses under one head, or each on a sheet of its own.

    address: of the list of all houses. code_at: where the code is typed. code: as it is printed;
    empty where there is none.
    """

    title: str
    office: str
    address: str
    code_at: str
    code: str
    language: str
    made_on: str
    houses: tuple[SheetHouse, ...]
    is_apart: bool = False


def sheet_pdf(sheet: PaperSheet) -> bytes:
    """Return the sheet as a PDF, in the language at hand."""
    pdf = _Paper(sheet)
    if not sheet.is_apart:
        pdf.head(sheet.address)
    for house in sheet.houses:
        if sheet.is_apart:
            pdf.head(house.address)
        pdf.house(house)
    if not sheet.houses:
        if sheet.is_apart:
            pdf.head(sheet.address)
        pdf.words(_("Nothing is open: none of your houses owes us anything now."), 11)
    return bytes(pdf.output())


def drawable(text: str, signs: Container[int]) -> str:
    """Return the text with no other signs than these, given as code points."""
    return "".join(_sign(sign, signs) for sign in unicodedata.normalize("NFC", text))


def _sign(sign: str, signs: Container[int]) -> str:
    if not sign.isprintable():
        return " "
    if ord(sign) in signs:
        return sign
    bare = unicodedata.normalize("NFKD", sign)
    kept = "".join(part for part in bare if ord(part) in signs and not unicodedata.combining(part))
    return kept or ("" if unicodedata.combining(sign) else "?")


class _Paper(FPDF):
    """Letter paper with a foot on each page."""

    def __init__(self, sheet: PaperSheet) -> None:
        super().__init__(format="letter")
        self.sheet = sheet
        self.set_margins(MARGIN_MM, MARGIN_MM)
        self.set_auto_page_break(auto=True, margin=18)
        self.set_title(sheet.title)
        self.set_lang(sheet.language)
        self.set_creator("Baywright")
        self._add_fonts()

    def words(self, text: str, size_pt: float, *, bold: bool = False, width_mm: float = 0) -> None:
        """Write a paragraph and go below it."""
        self.set_font(FONT, "B" if bold else "", size_pt)
        height = size_pt * 0.42
        self.multi_cell(
            width_mm, height, self._drawn(text), align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT
        )

    def head(self, address: str) -> None:
        """Begin a sheet: whose it is, the QR code on the right, the code to type on the left."""
        self.add_page()
        self._qr(address, self.w - MARGIN_MM - QR_MM, MARGIN_MM)
        width = WIDTH_MM - QR_MM - 6
        self.words(self.sheet.title, 15, bold=True, width_mm=width)
        self.words(self.sheet.office, 10, width_mm=width)
        self.ln(1)
        self.words(
            _("Answer with your phone: point its camera at the square. No account is needed."),
            10,
            width_mm=width,
        )
        if self.sheet.code:
            place = {"address": self.sheet.code_at}
            self.words(_("Or open %(address)s and type:") % place, 10, width_mm=width)
            self.set_char_spacing(1.5)
            self.words(self.sheet.code, 20, bold=True, width_mm=width)
            self.set_char_spacing(0)
        self.words(_("Or tick here and give the sheet to our crew or our office."), 10)
        self.set_y(max(self.get_y(), MARGIN_MM + QR_MM + 2))

    def house(self, house: SheetHouse) -> None:
        """Write a house: its name, when the crew comes, and a row for each thing owed."""
        if self.will_page_break(34):
            self.add_page()
        self.ln(2)
        self.set_line_width(0.6)
        self.line(MARGIN_MM, self.get_y(), self.w - MARGIN_MM, self.get_y())
        self.ln(1.5)
        self.words(house.name, 12, bold=True)
        self.words(house.when, 10)
        if house.items:
            self._row_heads()
        for item in house.items:
            self._row(item)

    def footer(self) -> None:
        """Say at the foot how old the sheet is."""
        self.set_y(-13)
        self.set_font(FONT, "", 8)
        words = _(
            "As of %(day)s. Local code and licensed practice decide. Page %(page)s of %(all)s"
        )
        said = words % {"day": self.sheet.made_on, "page": self.page_no(), "all": "{nb}"}
        self.cell(0, 5, self._drawn(said), align="C")

    def _add_fonts(self) -> None:
        with TemporaryDirectory() as folder:  # fpdf2 takes a font from a file only
            for style, cut in CUTS.items():
                path = Path(folder) / f"{cut}.ttf"
                path.write_bytes(fontbuffers[cut]())
                self.add_font(FONT, style, path)
                # How the font was hinted: nothing on paper, and fpdf2 warns that it drops it.
                del self._font(style).ttfont["TTFA"]

    def _font(self, style: str = "") -> TTFFont:
        return cast(TTFFont, self.fonts[FONT.lower() + style])

    def _drawn(self, text: str) -> str:
        return drawable(text, self._font().cmap)

    def _row_heads(self) -> None:
        self.set_font(FONT, "B", 8.5)
        self.set_x(MARGIN_MM + TEXT_MM)
        heads = ((_("Done"), TICK_MM), (_("On this day:"), DAY_MM), (_("Not ours"), TICK_MM))
        for text, width in heads:
            self.cell(width, 5, self._drawn(text), align="C")
        self.ln(5.5)

    def _row(self, item: SheetItem) -> None:
        """Draw one thing: its name and how it stands on the left, boxes and a line on the right."""
        if self.will_page_break(self._row_height(item)):
            self.add_page()
            self._row_heads()
        top = self.get_y()
        self.set_line_width(0.2)
        self.line(MARGIN_MM, top, self.w - MARGIN_MM, top)
        self.set_y(top + 1)
        self.words(item.name, 10.5, bold=True, width_mm=TEXT_MM - 2)
        self.words(item.under, 8.5, width_mm=TEXT_MM - 2)
        bottom = max(self.get_y() + 1, top + BOX_MM + 4)
        self.set_line_width(0.35)
        left, box_y = MARGIN_MM + TEXT_MM, top + 2
        self.rect(left + (TICK_MM - BOX_MM) / 2, box_y, BOX_MM, BOX_MM)
        self.line(left + TICK_MM + 3, box_y + 5, left + TICK_MM + DAY_MM - 3, box_y + 5)
        self.rect(left + TICK_MM + DAY_MM + (TICK_MM - BOX_MM) / 2, box_y, BOX_MM, BOX_MM)
        self.set_y(bottom)

    def _row_height(self, item: SheetItem) -> float:
        height = 3.0
        for text, size, style in ((item.name, 10.5, "B"), (item.under, 8.5, "")):
            self.set_font(FONT, style, size)
            lines = self.multi_cell(
                TEXT_MM - 2, LINE_MM, self._drawn(text), dry_run=True, output="LINES", align="L"
            )
            assert isinstance(lines, list)  # noqa: S101 - the output that was asked for
            height += len(lines) * size * 0.42
        return max(height, BOX_MM + 4)

    def _qr(self, address: str, x_mm: float, y_mm: float) -> None:
        """Draw the QR code as squares, sharp at any size."""
        rows = list(segno.make(address, error="m", micro=False).matrix_iter(border=QUIET_MODULES))
        side = QR_MM / len(rows)
        self.set_fill_color(0)
        for y, row in enumerate(rows):
            for x, dark in enumerate(row):
                if dark:
                    self.rect(x_mm + x * side, y_mm + y * side, side, side, style="F")
