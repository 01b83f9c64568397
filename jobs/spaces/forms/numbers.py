"""Reads numbers as people write them on a takeoff: 9 1/4, 15' 8", 2x10, 6/12; knows no form."""

import re
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from django.utils.translation import gettext

# Actual depth in inches of lumber by its nominal one.
NOMINAL_DEPTH_IN = {"4": "3.5", "6": "5.5", "8": "7.25", "10": "9.25", "12": "11.25"}
THOUSANDTH = Decimal("0.001")
_PLAIN = r"(?:\d{1,7}|\d{1,3}(?:,\d{3}){1,2})(?:\.\d{1,9})?|\.\d{1,9}"
_PART = r"\d{1,5}/\d{1,5}"
_NUMBER = re.compile(rf"(?P<whole>{_PLAIN})(?:[ -]+(?P<part>{_PART}))?|(?P<only>{_PART})", re.ASCII)
_FEET = re.compile(r"(?P<feet>[^'f]+?) ?(?:'|ft\.?|feet)(?: ?(?P<inches>[^\"i]+?) ?(?:\"|in\.?)?)?")
_NOMINAL = re.compile(r"[1-4] ?[x×] ?(?P<depth>4|6|8|10|12)")
_UNIT = re.compile(r" ?(?:\"|in\.?|ft2|ft²|sq\.? ?ft\.?)$")
_OF_TWELVE = re.compile(r" ?(?:/|:|in) ?12$")
_TIMES = re.compile(r"^(?P<first>.+?) ?[x×*] ?(?P<second>.+)$")


class NotRead(ValueError):
    """What was written is no number; the words say how to write one."""


def number_read(text: str) -> Decimal:
    """Return a number without unit, `1,500` or `9 1/4`, to the thousandth. Raises NotRead."""
    return _rounded(_fraction(_tidy(text), text))


def inches_read(text: str) -> Decimal:
    """Return the inches, as a number or as nominal lumber: `2x10` is 9.25. Raises NotRead."""
    tidy = _UNIT.sub("", _tidy(text))
    nominal = _NOMINAL.fullmatch(tidy)
    return (
        Decimal(NOMINAL_DEPTH_IN[nominal["depth"]]) if nominal else _rounded(_fraction(tidy, text))
    )


def feet_read(text: str) -> Decimal:
    """Return the feet, as a number or with inches: `15' 8"` is 15.667. Raises NotRead."""
    tidy = _tidy(text)
    both = _FEET.fullmatch(tidy)
    if both is None:
        return _rounded(_fraction(tidy, text))
    inches = _fraction(both["inches"], text) if both["inches"] else Fraction(0)
    return _rounded(_fraction(both["feet"], text) + inches / 12)


def area_read(text: str) -> Decimal:
    """Return the square feet. Raises NotRead."""
    return _rounded(_fraction(_UNIT.sub("", _tidy(text)), text))


def pitch_read(text: str) -> Decimal:
    """Read the rise in inches over a run of 12: `6/12`, `6:12`, `6 in 12`, `6`. Raises NotRead."""
    return _rounded(_fraction(_OF_TWELVE.sub("", _tidy(text)), text))


def count_read(text: str) -> int:
    """Return a whole number. Raises NotRead."""
    number = _fraction(_tidy(text), text)
    if number.denominator != 1:
        raise NotRead(gettext("“%(text)s” is not a whole number.") % {"text": _short(text)})
    return number.numerator


def pair_read(text: str) -> tuple[str, str]:
    """Read two things with a times sign between them: `12 x 15.65`. Raises NotRead."""
    found = _TIMES.fullmatch(_tidy(text))
    if found is None:
        words = gettext("“%(text)s” has no times sign; expected such as %(example)s.")
        raise NotRead(words % {"text": _short(text), "example": "12 x 15.65"})
    return found["first"], found["second"]


def written(value: Decimal) -> str:
    """Return a number exactly, as the estimator and a field of a form take it."""
    return format(value.normalize(), "f")


def _tidy(text: str) -> str:
    signs = str.maketrans({"’": "'", "′": "'", "”": '"', "″": '"', "½": " 1/2", "¼": " 1/4"})
    return " ".join(text.translate(signs).replace("¾", " 3/4").lower().split())


def _fraction(tidy: str, text: str) -> Fraction:
    """Return the number exactly; `text` is what the person wrote, for the message."""
    found = _NUMBER.fullmatch(tidy.strip())
    part = found and (found["part"] or found["only"])
    if found is None or (part and not int(part.split("/")[1])):
        words = gettext("“%(text)s” is not a number; write it as 9.25 or 9 1/4.")
        raise NotRead(words % {"text": _short(text)})
    whole = Fraction((found["whole"] or "0").replace(",", ""))
    return whole + (Fraction(part) if part else 0)


def _rounded(value: Fraction) -> Decimal:
    exact = Decimal(value.numerator) / Decimal(value.denominator)
    return exact.quantize(THOUSANDTH, ROUND_HALF_UP).normalize()


def _short(text: str) -> str:
    return text if len(text) <= 30 else f"{text[:30]}…"
