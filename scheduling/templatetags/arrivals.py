"""Windows of arrival on pages; decides nothing."""

from django import template

from scheduling.arrivals.words import window_text
from scheduling.progress import Window

register = template.Library()


@register.filter
def window(value: Window | None) -> str:
    """Return `between 9:00 a.m. and 11:00 a.m.`; nothing for none."""
    return window_text(value) if value else ""
