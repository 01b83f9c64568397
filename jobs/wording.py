"""How days, hours, sentences and names of the trade are worded; knows no row or page."""

from collections.abc import Iterable
from datetime import date
from fractions import Fraction
from math import ceil

from django.utils.formats import date_format
from django.utils.safestring import SafeString
from django.utils.translation import gettext, ngettext, pgettext

from jobs.conditions.readiness import Marks
from jobs.conditions.sentences import Sentence

MINUS = "\N{MINUS SIGN}"
DONE_MARK, OPEN_MARK = '<i class="done"></i>', '<i class="open"></i>'
UNITS = {"ft2": "ft²", "ft3": "ft³", "lb_per_ft3": "lb/ft³", "lb_per_ft2": "lb/ft²"}


def unit_text(unit: str) -> str:
    """Return a unit of the estimate's file as people write it."""
    return word(UNITS.get(unit, unit))


def word(text: str | None) -> str:
    """Return the text in the reader's language, where it is known; else as it stands."""
    return gettext(text) if text else ""


def day_text(day: date | None) -> str:
    """Return a day as people say it on site: `Tue Mar 2`, `mar 2 de marzo`; empty for none."""
    return (
        date_format(day, pgettext("a day, as Django's date filter writes it", "D M j"))
        if day
        else ""
    )


def sentence_text(sentence: Sentence) -> str:
    """Return a sentence of the conditions in the reader's language."""
    return sentence.render(word, day_text)


def sentences_text(sentences: Iterable[Sentence]) -> str:
    """Return sentences in the reader's language, in one line."""
    return "; ".join(map(sentence_text, sentences))


def hours(minutes: float | str | None) -> str:
    """Return the minutes as hours with one decimal, the way estimates speak: 165 -> `2.8`.

    The point stays a point in Spanish too: that is how hours are written in the United States.
    """
    return f"{float(minutes or 0) / 60:.1f}"


def duration(minutes: float | None) -> str:
    """Say the minutes as a person does: 165 -> `2 h 45 min`, 60 -> `1 h`, 40 -> `40 min`."""
    full, rest = divmod(round(minutes or 0), 60)
    said_parts = [f"{full} h"] * bool(full) + [f"{rest} min"] * bool(rest or not full)
    return " ".join(said_parts)


def number(value: object, decimals: int = 2) -> str:
    """Show a number of the estimate (plain or exact fraction in a string) without idle decimals."""
    if value is None or value == "":
        return ""
    try:
        figure = float(Fraction(str(value)))
    except (ValueError, ZeroDivisionError):
        return str(value)
    digits = f"{figure:,.{decimals}f}"
    return digits.rstrip("0").rstrip(".") if "." in digits else digits


def quantity_text(quantity: float, unit: str) -> str:
    """Return a quantity with its unit: `1 can`, `98 bags`, `470 ft²`; what is counted is whole."""
    n = ceil(round(quantity, 6))
    counted = {
        "bags": ngettext("%(n)s bag", "%(n)s bags", n),
        "packages": ngettext("%(n)s package", "%(n)s packages", n),
        "pieces": ngettext("%(n)s piece", "%(n)s pieces", n),
        "cans": ngettext("%(n)s can", "%(n)s cans", n),
        "tubes": ngettext("%(n)s tube", "%(n)s tubes", n),
    }
    if unit in counted:
        return counted[unit] % {"n": number(n)}
    return f"{number(quantity)} {unit_text(unit)}".strip()


def dollars(cents: int) -> str:
    """Return the cents as whole dollars, half to even: `$1,235`, `−$20`."""
    whole = round(cents / 100)
    return f"{MINUS if whole < 0 else ''}${abs(whole):,}"


def filled_marks(marks: Marks) -> SafeString:
    """Draw four of six as six marks, four of them filled.

    The one shape of a house's marks: on the week, on the job's page, among the calls.
    """
    return SafeString(DONE_MARK * marks.done + OPEN_MARK * (marks.total - marks.done))
