"""Builders, their superintendents and sites; knows no job."""

from django.conf import settings
from django.db import models

from contractor.access import Scope
from contractor.models import Branch
from contractor.models.fields import coordinate_field, coordinates_check
from contractor.plan_ids import PlanNoun, plan_id


class Builder(models.Model):
    """The customer company (for an old house: whoever asked for the work)."""

    name = models.CharField(max_length=120, unique=True)
    late_cents_per_day = models.PositiveIntegerField(
        null=True, blank=True, help_text="Agreed back-charge per late day; empty: the branch's."
    )

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Superintendent(models.Model):
    """A builder's person who runs sites; has no account, only a link."""

    builder = models.ForeignKey(Builder, on_delete=models.PROTECT, related_name="superintendents")
    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=30, blank=True)
    language = models.CharField(max_length=5, choices=settings.LANGUAGES, default="en")

    class Meta:
        ordering = ["builder", "name"]
        constraints = [
            models.UniqueConstraint(fields=["builder", "name"], name="superintendent_in_builder"),
        ]

    def __str__(self) -> str:
        return self.name


class SiteQuerySet(models.QuerySet["Site"]):
    """Sites by who may see them."""

    def visible_to(self, scope: Scope) -> "SiteQuerySet":
        """Keep the sites of the scope's branches."""
        return self if scope.all_branches else self.filter(branch_id__in=scope.branch_ids)

    def without_place(self) -> "SiteQuerySet":
        """Keep the sites whose coordinates are still to be asked for."""
        return self.filter(latitude__isnull=True)


class Site(models.Model):
    """An address; it can hold many jobs."""

    builder = models.ForeignKey(Builder, on_delete=models.PROTECT, related_name="sites")
    superintendent = models.ForeignKey(
        Superintendent, on_delete=models.SET_NULL, null=True, blank=True, related_name="sites"
    )
    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="sites")
    name = models.CharField(max_length=120)
    address = models.CharField(max_length=200, blank=True)
    latitude = coordinate_field()
    longitude = coordinate_field()
    gate_note = models.CharField(
        max_length=200,
        blank=True,
        help_text="How a crew gets in: gate code, key box. Only its crews and the office see it.",
    )

    objects = SiteQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["branch", "builder", "name"], name="site_name_of_builder"
            ),
            coordinates_check("site_coordinates"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def place(self) -> str:
        """The planner's name of this place."""
        return plan_id(PlanNoun.SITE, self.pk)
