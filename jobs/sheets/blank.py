"""The blank sheet to fill in: header and two invented rows, as CSV and XLSX."""

import csv
import io
from collections.abc import Mapping
from datetime import date

from openpyxl import Workbook
from openpyxl.styles import Font

from jobs.sheets.columns import NAMES

Cell = str | int | float | date

_HOUSE: Mapping[str, Cell] = {
    "builder": "Hazel Homes",
    "superintendent": "Rosa Reyes",
    "superintendent_email": "rosa@hazel.example",
    "superintendent_phone": "515-555-0142",
    "site": "Quarry Lane",
    "address": "14 Quarry Lane",
    "latitude": 41.65,
    "longitude": -93.7,
    "gate_note": "gate code 4711",
    "unit": "Lot 14",
    "ready_date": date(2027, 3, 1),
    "promised_date": date(2027, 3, 12),
}
EXAMPLES: tuple[Mapping[str, Cell], ...] = (
    {
        **_HOUSE,
        "space": "attic",
        "kind": "attic_flat",
        "area_ft2": 1500,
        "target_r": 49,
        "board_in": 0.625,
        "framing_in": 24,
        "note": "two hatches",
    },
    {
        **_HOUSE,
        "space": "north slope",
        "kind": "slope_bays",
        "bays": 22,
        "length_ft": 16,
        "depth_in": 9.25,
        "spacing_in": 16,
        "vent_in": 1,
        "cover": "board",
    },
)


def blank_csv() -> bytes:
    """Return the blank sheet as CSV, in UTF-8 with its mark, so that spreadsheets read it right."""
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, NAMES)
    writer.writeheader()
    writer.writerows(EXAMPLES)
    return text.getvalue().encode("utf-8-sig")


def blank_xlsx() -> bytes:
    """Return the blank sheet as a workbook with one sheet; its header stays in view."""
    book = Workbook()
    sheet = book.active
    sheet.title = "jobs"
    sheet.append(list(NAMES))
    for example in EXAMPLES:
        sheet.append([example.get(name) for name in NAMES])
    for cell in sheet[1]:
        cell.font = Font(bold=True)
    sheet.freeze_panes = "A2"
    content = io.BytesIO()
    book.save(content)
    return content.getvalue()
