"""Money as lines show it: whole cents as dollars, exactly."""

from django import template

register = template.Library()


@register.filter
def exact_dollars(cents: int) -> str:
    """Return the cents as dollars with two decimals and no float: 123456 -> `$1,234.56`."""
    return f"${cents // 100:,}.{cents % 100:02d}"
