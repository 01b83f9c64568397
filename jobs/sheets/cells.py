"""One cell to one value, or what was expected of it; must not know rows and files."""

import re
import unicodedata
from collections.abc import Callable, Mapping
from datetime import date, datetime, time, timedelta
from decimal import ROUND_HALF_EVEN, Decimal

from jobs.sheets.columns import Column, Holds
from jobs.sheets.errors import Expected, Word
from jobs.sheets.errors import marked as _

Raw = str | int | float | bool | date | time | timedelta | None
Value = str | int | Decimal | date

# "=…" and "@…" are formulas; a dash or plus begins one only before a call, a pipe or a sum, so
# that "- dog in the yard" stays a note.
_FORMULA = re.compile(r"[=@]|[+-](\S.*[(|!=]|[\d.]+\s*[-+*/^])", re.DOTALL)
_NUMBER = re.compile(r"-?\d{1,12}(\.\d{1,18})?|-?\.\d{1,18}")
_ISO_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
_EMAIL = re.compile(r"[^@\s<>\"',;:]{1,64}@[A-Za-z0-9.-]{1,180}\.[A-Za-z]{2,24}")
_PHONE = re.compile(r"\+?[0-9(][0-9 ().x/-]{4,28}")
_FIRST_YEAR, _LAST_YEAR = 2000, 2099
# Letters of either direction are welcome; marks that turn the direction of what follows are not.
_TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


class CellRefused(Exception):
    """A cell that is not what its column holds."""

    def __init__(self, template: str, /, **values: str | int) -> None:
        self.expected = Expected(template, values)
        super().__init__(str(self.expected))


def is_empty(raw: Raw) -> bool:
    """Tell whether the cell says nothing."""
    return raw is None or (isinstance(raw, str) and not raw.strip())


def cell_value(column: Column, raw: Raw) -> Value | None:
    """Return the value of a cell; None for an empty one. Raises CellRefused.

    Numbers become Decimals of the column's places, whole numbers ints, dates dates; a text keeps
    its words and loses doubled blanks.
    """
    if is_empty(raw):
        return None
    return _READERS[column.holds](column, raw)


def _text(column: Column, raw: Raw) -> str:
    text = " ".join(_plain(column, raw).split())
    _refuse_formula(text)
    return text


def _note(column: Column, raw: Raw) -> str:
    text = _plain(column, raw).strip()
    _refuse_formula(text)
    return text


def _plain(column: Column, raw: Raw) -> str:
    text = unicodedata.normalize("NFC", _as_text(raw)).replace("\r\n", "\n")
    if any(_is_hidden(char) for char in text):
        raise CellRefused(_("expected a text without control characters"))
    if len(text) > column.most_characters:
        raise CellRefused(
            _("expected at most %(most)d characters, not %(found)d"),
            most=column.most_characters,
            found=len(text),
        )
    return text


def _as_text(raw: Raw) -> str:
    if isinstance(raw, str):
        return raw
    if isinstance(raw, bool) or not isinstance(raw, int | float):
        raise CellRefused(_("expected a text; the sheet holds a date or a true/false here"))
    return str(int(raw)) if raw == int(raw) else repr(raw)


def _is_hidden(char: str) -> bool:
    if char in "\n\t":
        return False
    return char in _TURNING or unicodedata.category(char) in ("Cc", "Cs", "Co", "Cn")


def _refuse_formula(text: str) -> None:
    if _FORMULA.match(text):
        raise CellRefused(_("expected a text, not one that a sheet would take for a formula"))


def _email(column: Column, raw: Raw) -> str:
    text = _text(column, raw)
    if not _EMAIL.fullmatch(text):
        raise CellRefused(_("expected a mail address such as name@example.com"))
    return text


def _phone(column: Column, raw: Raw) -> str:
    text = " ".join(_plain(column, raw).split())
    if not _PHONE.fullmatch(text):
        raise CellRefused(_("expected a phone number such as 515-555-0100"))
    return text


def _choice(column: Column, raw: Raw) -> str:
    text = _text(column, raw).lower()
    if text not in column.choices:
        raise CellRefused(_("expected one of %(choices)s"), choices=", ".join(column.choices))
    return text


def _number(column: Column, raw: Raw) -> Decimal:
    number = _decimal(raw)
    if number is None:
        raise CellRefused(_number_wanted(column), unit=Word(column.unit))
    _refuse_out_of_range(column, number)
    rounded = number.quantize(Decimal(1).scaleb(-column.places), ROUND_HALF_EVEN)
    if not rounded and number:
        _refuse_out_of_range(column, rounded)
    return rounded


def _pitch(column: Column, raw: Raw) -> Decimal:
    """Return the rise in 12; a roofer's 6/12 or 6:12 is the number before the stroke."""
    if isinstance(raw, str):
        raw = re.sub(r"\s*[/:]\s*12$", "", raw.strip())
    return _number(column, raw)


def _number_wanted(column: Column) -> str:
    if column.unit == "R-value":
        return _("expected an R-value, a number such as 49")
    return _("expected a number of %(unit)s, such as 12 or 9.25")


def _decimal(raw: Raw) -> Decimal | None:
    """Return a number as a Decimal; a float counts as the decimal that it is written as."""
    if isinstance(raw, bool) or not isinstance(raw, int | float | str):
        return None
    text = raw.strip() if isinstance(raw, str) else format(Decimal(repr(raw)), "f")
    return Decimal(text) if _NUMBER.fullmatch(text) else None


def _refuse_out_of_range(column: Column, number: Decimal) -> None:
    above = number >= column.low if column.zero else number > column.low
    if above and number <= column.high:
        return
    template = (
        _("expected at least %(low)s and at most %(high)s %(unit)s")
        if column.zero
        else _("expected more than %(low)s and at most %(high)s %(unit)s")
    )
    raise CellRefused(
        template, low=f"{column.low:f}", high=f"{column.high:f}", unit=Word(column.unit)
    )


def _whole(column: Column, raw: Raw) -> int:
    number = _decimal(raw)
    if number is None or number != number.to_integral_value():
        raise CellRefused(_("expected a whole number of %(unit)s"), unit=Word(column.unit))
    _refuse_out_of_range(column, number)
    return int(number)


def _date(column: Column, raw: Raw) -> date:
    day = _as_date(raw)
    if day is None:
        raise CellRefused(_("expected a date such as 2027-03-05, or a date cell"))
    if not _FIRST_YEAR <= day.year <= _LAST_YEAR:
        raise CellRefused(
            _("expected a date of the years %(first)d to %(last)d"),
            first=_FIRST_YEAR,
            last=_LAST_YEAR,
        )
    return day


def _as_date(raw: Raw) -> date | None:
    if isinstance(raw, datetime):
        return raw.date() if raw.time() == time.min else None
    if isinstance(raw, date):
        return raw
    if not isinstance(raw, str) or not _ISO_DATE.fullmatch(raw.strip()):
        return None
    try:
        return date.fromisoformat(raw.strip())
    except ValueError:
        return None


_READERS: Mapping[Holds, Callable[[Column, Raw], Value]] = {
    Holds.TEXT: _text,
    Holds.NOTE: _note,
    Holds.EMAIL: _email,
    Holds.PHONE: _phone,
    Holds.CHOICE: _choice,
    Holds.NUMBER: _number,
    Holds.PITCH: _pitch,
    Holds.WHOLE: _whole,
    Holds.DATE: _date,
}
