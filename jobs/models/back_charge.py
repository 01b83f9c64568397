"""What we charge a builder back for work taken over; money in whole cents; knows no estimate."""

from datetime import date

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from contractor.access import Scope
from contractor.models import Photo
from jobs.crew_minutes import CrewMinutes
from jobs.estimating import ExplainedFigure, figures_read
from jobs.models.condition import Condition
from jobs.models.customer import Builder
from jobs.models.house import Job
from jobs.models.work import Step


class BackChargeQuerySet(models.QuerySet["BackCharge"]):
    """Back-charges by whether they stand, by whose they are, by month."""

    def active(self) -> "BackChargeQuerySet":
        """Keep those that nobody struck."""
        return self.filter(struck_at__isnull=True)

    def visible_to(self, scope: Scope) -> "BackChargeQuerySet":
        """Keep those of the scope's branches."""
        if scope.all_branches:
            return self
        return self.filter(job__site__branch_id__in=scope.branch_ids)

    def of_month(self, first: date) -> "BackChargeQuerySet":
        """Keep what was taken over in the month that begins on `first`."""
        return self.filter(taken_on__year=first.year, taken_on__month=first.month)


class BackCharge(models.Model):
    """One line: what we did in a builder's place, how much of it, at what rate, who agreed.

    It is written once. Undoing strikes it, with who, when and why; it is never deleted.
    """

    condition = models.ForeignKey(Condition, on_delete=models.PROTECT, related_name="back_charges")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="back_charges")
    builder = models.ForeignKey(Builder, on_delete=models.PROTECT, related_name="back_charges")
    step_kind = models.CharField(max_length=12, choices=Step.Kind)
    measure = models.CharField(max_length=20, help_text="What the work is counted by.")
    amount = models.DecimalField(max_digits=8, decimal_places=2)
    flues = models.PositiveSmallIntegerField(default=0)
    length_ft = models.DecimalField(max_digits=5, decimal_places=2, null=True, blank=True)
    crew_minutes = models.JSONField(help_text='Minutes by people on the crew: {"2": 51, "3": 36}')
    person_minutes = models.PositiveIntegerField(validators=[MinValueValidator(1)])
    loads = models.JSONField(default=list, blank=True, help_text='[{"item", "quantity", "unit"}]')
    figures = models.JSONField(default=list, blank=True, help_text="Each with its source.")
    cents_per_hour = models.PositiveIntegerField(help_text="Of one person.")
    cents = models.PositiveIntegerField()
    agreed_by = models.CharField(max_length=120)
    note = models.CharField(max_length=300, blank=True)
    inspect_again = models.BooleanField(
        default=False, help_text="Whether fireblocking must be inspected again."
    )
    photo = models.ForeignKey(
        Photo, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    taken_by = models.CharField(max_length=120)
    taken_at = models.DateTimeField()
    taken_on = models.DateField(help_text="The day in the site's zone.")
    struck_by = models.CharField(max_length=120, blank=True)
    struck_at = models.DateTimeField(null=True, blank=True)
    struck_reason = models.CharField(max_length=300, blank=True)

    objects = BackChargeQuerySet.as_manager()

    class Meta:
        ordering = ["-taken_on", "-id"]
        indexes = [models.Index(fields=["builder", "taken_on"], name="back_charge_by_builder")]
        constraints = [
            models.CheckConstraint(
                condition=Q(person_minutes__gt=0),
                name="back_charge_has_minutes",
                violation_error_message=_("A back-charge takes at least a minute."),
            ),
            models.CheckConstraint(
                condition=~Q(agreed_by=""),
                name="back_charge_is_agreed",
                violation_error_message=_("Say who agreed to it."),
            ),
            models.CheckConstraint(
                condition=Q(amount__gt=0) | Q(flues__gt=0),
                name="back_charge_has_amount",
                violation_error_message=_("Say how much of it there is."),
            ),
            models.CheckConstraint(
                condition=Q(struck_at__isnull=True) | ~Q(struck_reason=""),
                name="back_charge_struck_has_reason",
                violation_error_message=_("Say why it is struck."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.job}: {self.get_step_kind_display()}"

    @property
    def minutes_by_people(self) -> CrewMinutes:
        """What it takes crews of different sizes."""
        return CrewMinutes.read(self.crew_minutes)

    @property
    def explained(self) -> tuple[ExplainedFigure, ...]:
        """How its minutes and loads were reckoned, each figure with its source."""
        return figures_read(self.figures)
