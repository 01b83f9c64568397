"""Constraints and fields that several models share; knows no model."""

from typing import Any

from django.db import models
from django.db.models import Q


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
        violation_error_message=(
            "Give both latitude (-90 to 90) and longitude (-180 to 180), or leave both empty."
        ),
    )


def positive_check(field: str, name: str, *, zero: bool = False) -> models.CheckConstraint:
    """Return the rule that `field` is more than zero (or not under it), or empty."""
    lookup = "gte" if zero else "gt"
    wanted = "zero or more" if zero else "more than zero"
    return models.CheckConstraint(
        condition=Q(**{f"{field}__{lookup}": 0}) | Q(**{f"{field}__isnull": True}),
        name=name,
        violation_error_message=f"{field.replace('_', ' ')}: expected {wanted}.",
    )
