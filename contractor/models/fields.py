"""Constraints and fields that several models share; knows no model."""

from typing import Any

from django.db import models
from django.db.models import Q
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

# The measures that `positive_check` guards, in the words of a refusal.
FIELD_WORDS = {
    "open_lb_per_hour": _("open lb per hour"),
    "dense_lb_per_hour": _("dense lb per hour"),
    "value": _("value"),
    "minutes_factor": _("minutes factor"),
    "sigma": _("sigma"),
    "jobs": _("jobs"),
    "pace": _("pace"),
    "bag_lb": _("bag lb"),
    "package_ft2": _("package ft2"),
    "open_lb_per_ft3": _("open lb per ft3"),
    "dense_lb_per_ft3": _("dense lb per ft3"),
    "dense_minimum_lb_per_ft3": _("dense minimum lb per ft3"),
    "settled_lb_per_ft3": _("settled lb per ft3"),
    "can_board_ft": _("can board ft"),
    "r": _("r"),
    "settled_in": _("settled in"),
    "bags_per_1000_ft2": _("bags per 1000 ft2"),
    "ft2_per_bag": _("ft2 per bag"),
    "depth_in": _("depth in"),
    "lb_per_ft3": _("lb per ft3"),
    "thickness_in": _("thickness in"),
    "width_in": _("width in"),
    "minutes": _("minutes"),
    "estimated_minutes": _("estimated minutes"),
    "area_ft2": _("area ft2"),
    "length_ft": _("length ft"),
    "run_ft": _("run ft"),
    "spacing_in": _("spacing in"),
    "target_r": _("target r"),
    "board_in": _("board in"),
    "framing_in": _("framing in"),
    "pitch": _("pitch"),
    "vent_in": _("vent in"),
}


def coordinate_field() -> "models.DecimalField[Any, Any]":
    """Return a field for degrees, six decimals (about 4 in), empty where not known."""
    return models.DecimalField(max_digits=9, decimal_places=6, null=True, blank=True)


def coordinates_check(name: str) -> models.CheckConstraint:
    """Return the rule that a place has both coordinates, in range, or neither."""
    neither = Q(latitude__isnull=True, longitude__isnull=True)
    both = Q(
        latitude__gte=-90,
        latitude__lte=90,
        longitude__gte=-180,
        longitude__lte=180,
        latitude__isnull=False,
        longitude__isnull=False,
    )
    return models.CheckConstraint(
        condition=neither | both,
        name=name,
        violation_error_message=_(
            "Give both latitude (-90 to 90) and longitude (-180 to 180), or leave both empty."
        ),
    )


def positive_check(field: str, name: str, *, zero: bool = False) -> models.CheckConstraint:
    """Return the rule that `field` is more than zero (or not under it), or empty."""
    lookup = "gte" if zero else "gt"
    expected = (
        _("{field}: expected zero or more.") if zero else _("{field}: expected more than zero.")
    )
    return models.CheckConstraint(
        condition=Q(**{f"{field}__{lookup}": 0}) | Q(**{f"{field}__isnull": True}),
        name=name,
        violation_error_message=format_lazy(expected, field=FIELD_WORDS[field]),
    )
