"""The contractor's own catalogue of conditions, seeded from `jobs.conditions.seed`."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from jobs.conditions.catalogue import CatalogueEntry, LagAfter
from jobs.models.condition import Condition


class CatalogueItemQuerySet(models.QuerySet["CatalogueItem"]):
    """Items by whether new jobs take them."""

    def active(self) -> "CatalogueItemQuerySet":
        """Keep those that are not retired."""
        return self.filter(retired=False)


class CatalogueItem(models.Model):
    """An entry of the catalogue as the contractor has it now; the code never changes.

    Lists are of words of `jobs.conditions.words`; an empty one means all kinds.
    """

    code = models.SlugField(max_length=40, unique=True)
    position = models.PositiveIntegerField(help_text="Its place in the order of the work.")
    name = models.CharField(max_length=120)
    owed_by = models.CharField(max_length=20)
    gate = models.CharField(max_length=6, choices=Condition.Gate)
    holds = models.JSONField(help_text="The kinds of step that it holds up.")
    consequence = models.CharField(max_length=200)
    source = models.CharField(max_length=200)
    houses = models.CharField(max_length=4, default="both")
    spaces = models.JSONField(default=list, blank=True)
    covers = models.JSONField(default=list, blank=True)
    only_with = models.JSONField(default=list, blank=True)
    not_with = models.JSONField(default=list, blank=True)
    built_before = models.PositiveSmallIntegerField(null=True, blank=True)
    year_rule = models.CharField(max_length=200, blank=True)
    lead_days = models.PositiveSmallIntegerField(
        default=0, help_text="Working days that whoever owes it usually needs."
    )
    may_take_over = models.BooleanField(default=False)
    measure = models.CharField(
        max_length=20, blank=True, help_text="What the work of taking it over is counted by."
    )
    never_waived = models.BooleanField(default=False)
    document = models.CharField(max_length=120, blank=True)
    follows = models.JSONField(default=list, blank=True)
    lag_steps = models.JSONField(
        default=list, blank=True, help_text="Kinds of our own step after which it comes about."
    )
    lag_trade_days = models.PositiveSmallIntegerField(
        default=0, help_text="Whole working days that others then take."
    )
    lag_only_then = models.BooleanField(
        default=False, help_text="It exists only in a job with such a step."
    )
    booked = models.BooleanField(
        default=False, help_text="A promise is an appointment, which lapses with its day."
    )
    valid_hours = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="Seen done counts for so many hours."
    )
    retired = models.BooleanField(default=False, help_text="New jobs do not take it.")
    version = models.PositiveIntegerField(default=1)

    objects = CatalogueItemQuerySet.as_manager()

    class Meta:
        ordering = ["position", "id"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(gate__in=["stop", "law"]) | Q(may_take_over=False),
                name="catalogue_stop_and_law_not_taken_over",
                violation_error_message=_("Safety and inspections cannot be taken over."),
            ),
            models.CheckConstraint(
                condition=Q(houses__in=["new", "old", "both"]),
                name="catalogue_houses",
                violation_error_message=_("Houses: expected new, old or both."),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def entry(self) -> CatalogueEntry:
        """The item as the pure rules see it."""
        steps = frozenset(self.lag_steps)
        after = LagAfter(steps, self.lag_trade_days, self.lag_only_then) if steps else None
        return CatalogueEntry(
            code=self.code,
            name=self.name,
            owed_by=self.owed_by,
            gate=self.gate,
            holds=tuple(self.holds),
            consequence=self.consequence,
            source=self.source,
            houses=self.houses,
            spaces=frozenset(self.spaces),
            covers=frozenset(self.covers),
            only_with=frozenset(self.only_with),
            not_with=frozenset(self.not_with),
            built_before=self.built_before,
            year_rule=self.year_rule,
            lead_days=self.lead_days,
            may_take_over=self.may_take_over,
            measure=self.measure,
            never_waived=self.never_waived,
            document=self.document,
            follows=frozenset(self.follows),
            lag_after=after,
            booked=self.booked,
            valid_hours=self.valid_hours,
        )
