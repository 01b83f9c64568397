"""Minutes, days, cents and readiness in the office's words; knows no model."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django import template
from django.utils.formats import date_format
from django.utils.html import format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from jobs import shown

register = template.Library()
register.filter("duration", shown.duration)
register.filter("day", shown.day_shown)

BRIEF = 2  # so many parts of what is open stand on a strip
MINUS = "\N{MINUS SIGN}"


@dataclass(frozen=True)
class Owed:
    """What one party owes for one day, as "owed by builder, promised Tue Mar 2"."""

    how: str
    names: tuple[str, ...]


@register.filter
def long_day(day: date) -> str:
    """Return a day in full: `Tuesday, March 2`."""
    return date_format(day, pgettext("a day in full, as Django's date filter writes it", "l, F j"))


@register.filter
def dollars(cents: int) -> str:
    """Return cents as whole dollars, half to even: `$1,235`, `−$20`."""
    whole = round(cents / 100)
    return f"{MINUS if whole < 0 else ''}${abs(whole):,}"


@register.filter
def dollars_and_cents(cents: int) -> str:
    """Return cents to the cent: `$1,234.50`."""
    whole, rest = divmod(abs(cents), 100)
    return f"{MINUS if cents < 0 else ''}${whole:,}.{rest:02d}"


@register.filter
def change_in_dollars(cents: int) -> str:
    """Return a difference with its sign: `+$35`, `−$20`, `no change`."""
    if round(cents / 100) == 0:
        return _("no change")
    return dollars(cents) if cents < 0 else f"+{dollars(cents)}"


@register.filter
def opposite(cents: int) -> int:
    """Return the cents with the other sign, for `$20 less`."""
    return -cents


@register.filter
def percent(share: float) -> str:
    """Return a share as percent with one decimal, rounded up so that it never promises too much."""
    tenths = -int(-share * 1000 // 1)
    return f"{tenths / 10:.1f} %"


@register.filter
def filled_marks(count: str) -> SafeString:
    """Return `4 of 6` as six marks, four of them filled; nothing for other words."""
    numbers = [int(number) for number in re.findall(r"\d+", str(count))]
    done, total = numbers if len(numbers) == 2 else (0, 0)
    marks = [("done",)] * done + [("open",)] * (total - done)
    return format_html_join("", '<i class="{}"></i>', marks)


@register.filter
def in_brief(sentences: Iterable[str]) -> str:
    """Return the two largest parts of what is open, and how much more there is."""
    owed = sorted(by_party(sentences), key=lambda one: -len(one.names))
    said = [_brief(one) for one in owed[:BRIEF]]
    rest = sum(len(one.names) for one in owed[BRIEF:])
    if rest:
        said.append(_("%(number)s more") % {"number": rest})
    return "; ".join(said)


def _brief(owed: Owed) -> str:
    if len(owed.names) > 2:
        return f"{len(owed.names)} {owed.how}"
    return f"{', '.join(owed.names)}: {owed.how}"


@register.filter
def by_party(sentences: Iterable[str]) -> list[Owed]:
    """Put together what is said alike: `chase cover: owed by builder, no date`, by its end."""
    names: dict[str, list[str]] = {}
    for sentence in sentences:
        name, _colon, how = sentence.rpartition(": ")
        names.setdefault(how, []).append(name)
    return [Owed(how, tuple(found)) for how, found in names.items()]
