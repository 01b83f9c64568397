"""Minutes and cents in the office's words; knows no model."""

import re

from django import template
from django.utils.translation import gettext as _

register = template.Library()

MINUS = "\N{MINUS SIGN}"


@register.filter
def hours(minutes: int) -> str:
    """Return minutes as the office says them: `45 min`, `2 h`, `2 h 10 min`."""
    whole, rest = divmod(int(minutes), 60)
    if not whole:
        return _("%(minutes)s min") % {"minutes": rest}
    if not rest:
        return _("%(hours)s h") % {"hours": whole}
    return _("%(hours)s h %(minutes)s min") % {"hours": whole, "minutes": rest}


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
def percent(share: float) -> str:
    """Return a share as percent with one decimal, rounded up so that it never promises too much."""
    tenths = -int(-share * 1000 // 1)
    return f"{tenths / 10:.1f} %"


@register.filter
def filled_marks(count: str) -> str:
    """Return `4 of 6` as marks, filled and empty: `●●●●○○`."""
    numbers = re.findall(r"\d+", str(count))
    if len(numbers) != 2:
        return ""
    done, total = map(int, numbers)
    return "\N{BLACK CIRCLE}" * done + "\N{WHITE CIRCLE}" * (total - done)
