"""Back-charges as a workbook to send on; what people typed never becomes a formula."""

import io
from collections.abc import Iterable

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Font
from openpyxl.utils.exceptions import IllegalCharacterError

from jobs.estimating import loads_read
from jobs.localtime import local_date
from jobs.models import BackCharge

COLUMNS = (
    "builder", "month", "day", "site", "unit", "work", "amount", "measure", "flues",
    "person_minutes", "material", "dollars_per_hour", "dollars", "agreed_by", "note",
    "inspect_fireblocking_again", "taken_by", "struck", "struck_reason",
)  # fmt: skip
_BEGINS_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def back_charges_xlsx(charges: Iterable[BackCharge]) -> bytes:
    """Write one row for each charge, amounts in dollars with two decimals; struck ones say so."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet("back-charges")
    sheet.freeze_panes = "A2"
    sheet.append([_head(sheet, name) for name in COLUMNS])
    for charge in charges:
        sheet.append([_cell(sheet, value) for value in _row(charge)])
    content = io.BytesIO()
    book.save(content)
    return content.getvalue()


def typed(text: str) -> str:
    """Return words somebody typed, with a quote before what a sheet would take for a formula."""
    return f"'{text}" if text.startswith(_BEGINS_FORMULA) else text


def _row(charge: BackCharge) -> list[object]:
    return [
        charge.builder.name,
        f"{charge.taken_on:%Y-%m}",
        charge.taken_on,
        charge.job.site.name,
        charge.job.unit,
        charge.get_step_kind_display(),
        charge.amount,
        charge.measure,
        charge.flues,
        charge.person_minutes,
        "; ".join(f"{one.quantity} {one.unit} {one.item}" for one in loads_read(charge.loads)),
        charge.cents_per_hour / 100,
        charge.cents / 100,
        charge.agreed_by,
        charge.note,
        "yes" if charge.inspect_again else "no",
        charge.taken_by,
        local_date(charge.job.site.branch, charge.struck_at) if charge.struck_at else None,
        charge.struck_reason,
    ]


def _head(sheet: object, name: str) -> WriteOnlyCell:
    cell = WriteOnlyCell(sheet, value=name)
    cell.font = Font(bold=True)
    return cell


def _cell(sheet: object, value: object) -> WriteOnlyCell:
    if not isinstance(value, str):
        return WriteOnlyCell(sheet, value=value)
    try:
        cell = WriteOnlyCell(sheet, value=typed(value))
    except IllegalCharacterError:
        printable = "".join(letter for letter in value if letter.isprintable())
        cell = WriteOnlyCell(sheet, value=typed(printable))
    cell.data_type = "s"
    return cell
