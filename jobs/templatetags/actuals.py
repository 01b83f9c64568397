"""Filters of pages of rates and actuals: ratios, figures, depths, columns; ask no database."""

from collections.abc import Iterable, Mapping
from typing import Any

from django import template
from django.utils.translation import gettext_lazy as _

register = template.Library()


_COLUMNS = {
    "chart": _("Coverage chart"),
    "cavity": _("Cavity chart"),
    "batts": _("Sizes of batts"),
    "r": _("R-value"),
    "initial_in": _("Initial, in"),
    "settled_in": _("Settled, in"),
    "lb_per_ft2": _("Weight, lb/ft²"),
    "bags_per_1000_ft2": _("Bags for 1,000 ft²"),
    "ft2_per_bag": _("ft² a bag covers"),
    "depth_in": _("Depth of the fill, in"),
    "lb_per_ft3": _("Density, lb/ft³"),
    "thickness_in": _("Thickness, in"),
    "width_in": _("Width, in"),
    "package_ft2": _("ft² in a package"),
}


@register.filter
def column_name(column: str) -> str:
    """Return the name of a table or of one of its columns, with its unit."""
    return str(_COLUMNS.get(column, column))


@register.filter
def times(ratio: float) -> str:
    """Return a ratio as people say it: `× 1.12`."""
    return f"× {float(ratio):.2f}"


@register.filter
def figure(number: float) -> str:
    """Return a number to one place: `3.0`."""
    return f"{number:.1f}"


@register.filter
def inches(depth: float) -> str:
    """Return a depth without needless zeros: `16.5`."""
    return f"{float(depth):.2f}".rstrip("0").rstrip(".")


@register.filter
def depths(many: Iterable[float]) -> str:
    """Return the depths as they were read, side by side: `16.5 · 17`."""
    return " · ".join(inches(depth) for depth in many)


@register.filter
def of_kind(found: Mapping[str, Any], kind: str) -> Any:
    """Return what a table by kinds of step has for one; nothing where it has none."""
    return found.get(kind, ())
