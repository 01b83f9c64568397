"""Days, cents and shares in the office's words; knows no row and no page."""

from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from jobs import wording


def long_day(day: date) -> str:
    """Return a day in full: `Tuesday, March 2`."""
    return date_format(day, pgettext("a day in full, as Django's date filter writes it", "l, F j"))


def dollars_and_cents(cents: int) -> str:
    """Return cents to the cent: `$1,234.50`."""
    whole, rest = divmod(abs(cents), 100)
    return f"{wording.MINUS if cents < 0 else ''}${whole:,}.{rest:02d}"


def change_in_dollars(cents: int) -> str:
    """Return a difference with its sign: `+$35`, `−$20`, `no change`."""
    if round(cents / 100) == 0:
        return _("no change")
    return wording.dollars(cents) if cents < 0 else f"+{wording.dollars(cents)}"


def opposite(cents: int) -> int:
    """Return the cents with the other sign, for `$20 less`."""
    return -cents


def percent(share: float) -> str:
    """Return a share as percent with one decimal, rounded up so that it never promises too much."""
    tenths = -int(-share * 1000 // 1)
    return f"{tenths / 10:.1f} %"
