"""Exact numbers: reading, rounding up and writing of rationals; knows nothing of insulation."""

import math
import re
from decimal import Decimal
from fractions import Fraction

from jobs.conditions.sentences import Sentence
from jobs.conditions.sentences import marked as _

Plain = int | float

LARGEST = 10**9
OUT_OF_RANGE = _("%(value)s is no number between -1e9 and 1e9")
_FRACTION = re.compile(r"-?\d{1,18}(\.\d{1,18})?(/\d{1,18}(\.\d{1,18})?)?")
_ROOT_DIGITS = 10**18


class NotANumber(ValueError):
    """The value cannot be read as a number; the sentence says what was expected."""

    def __init__(self, template: str, value: object) -> None:
        self.sentence = Sentence(template, {"value": quoted(value)})
        super().__init__(str(self.sentence))


def exact(value: object) -> Fraction:
    """Read an int, float, Decimal, Fraction or a string such as "28/15" or "9.25" exactly.

    A float counts as the decimal that it is written as: 0.1 is one tenth. Raises NotANumber.
    """
    if isinstance(value, str):
        return _from_text(value)
    if isinstance(value, Decimal) and value.is_finite():
        return _from_decimal(value)
    if isinstance(value, bool) or not isinstance(value, int | float | Fraction):
        raise NotANumber(_("%(value)s is not a number"), value)
    return _from_binary(value)


def _from_binary(value: Plain | Fraction) -> Fraction:
    if not -LARGEST <= value <= LARGEST:
        raise NotANumber(OUT_OF_RANGE, value)
    return Fraction(repr(value)) if isinstance(value, float) else Fraction(value)


def _from_text(value: str) -> Fraction:
    text = value.strip()
    if not _FRACTION.fullmatch(text):
        raise NotANumber(_('%(value)s is not a number; write it as 9.25 or as "28/15"'), value)
    over, _slash, under = text.partition("/")
    if under and not Fraction(under):
        raise NotANumber(_("%(value)s divides by zero"), value)
    number = Fraction(over) / (Fraction(under) if under else 1)
    if abs(number) > LARGEST:
        raise NotANumber(OUT_OF_RANGE, value)
    return number


def _from_decimal(value: Decimal) -> Fraction:
    # The exponent is looked at first: Fraction(Decimal("1e999999999")) would not come back.
    if value and not -30 <= value.adjusted() <= 9:
        raise NotANumber(OUT_OF_RANGE, value)
    return Fraction(value)


def quoted(value: object) -> str:
    """Return the value as it is quoted in a message, cut to forty characters."""
    if isinstance(value, bool) or not isinstance(value, int | float | str | Decimal | Fraction):
        return type(value).__name__
    if isinstance(value, int) and abs(value) > 10**18:
        return _("a number of more than 18 digits")
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= 40 else text[:37] + "..."


def ceiling(value: Fraction) -> int:
    """Return the least whole number that is not smaller: exact, so 112 stays 112."""
    return -((-value.numerator) // value.denominator)


def square_root(value: Fraction) -> Fraction:
    """Return the root of a rational: exact where it is rational, else right to 18 decimals."""
    product = value.numerator * value.denominator
    return Fraction(math.isqrt(product * _ROOT_DIGITS**2), value.denominator * _ROOT_DIGITS)


def plain(value: Fraction, digits: int = 4) -> Plain:
    """Return a JSON number: whole if it is whole, else a float of `digits`, twice that under 1."""
    if value.denominator == 1:
        return value.numerator
    return round(float(value), digits if abs(value) >= 1 else 2 * digits)


def counted(number: int, what: str) -> str:
    """Return a count as it is spoken: "1 bag", "112 bags"."""
    return f"{number:,} {what}{'' if number == 1 else 's'}"


def spoken(value: Fraction, digits: int = 2) -> str:
    """Return a number as it is spoken in a sentence: "2,800", "16.47"."""
    text = f"{float(value):,.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
