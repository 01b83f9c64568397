"""What a branch pinned and what finished work taught about its rates; knows no job and no step."""

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from contractor.models.branch import Branch
from contractor.models.crew import Crew
from contractor.models.fields import positive_check


class PinnedRate(models.Model):
    """A rate that somebody set by hand: it goes before the default and before what was learned.

    `path` names it as a takeoff does (`hand.baffle_minutes`), or is `learned.<kind of step>` for
    the factor on all minutes of a kind of step.
    """

    branch = models.ForeignKey(Branch, on_delete=models.CASCADE, related_name="pinned_rates")
    path = models.CharField(max_length=60)
    value = models.DecimalField(max_digits=12, decimal_places=4)
    because = models.CharField(max_length=150)
    pinned_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    pinned_at = models.DateTimeField()

    class Meta:
        ordering = ["branch", "path"]
        constraints = [
            models.UniqueConstraint(fields=["branch", "path"], name="pinned_rate_once"),
            positive_check("value", "pinned_rate_value", zero=True),
            models.CheckConstraint(
                condition=~Q(because=""),
                name="pinned_rate_has_reason",
                violation_error_message=_("A rate that is pinned by hand needs a reason."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.branch}, {self.path}: {self.value}"


class LearnedRate(models.Model):
    """How many times the estimate a kind of step takes, by material and machine where known.

    The row without material and machine is of all finished work of the kind.
    """

    branch = models.ForeignKey(Branch, on_delete=models.CASCADE, related_name="learned_rates")
    step_kind = models.CharField(max_length=12)
    material_key = models.CharField(max_length=40, blank=True)
    machine_name = models.CharField(max_length=60, blank=True)
    minutes_factor = models.DecimalField(max_digits=8, decimal_places=5)
    sigma = models.DecimalField(max_digits=7, decimal_places=5)
    bags_factor = models.DecimalField(max_digits=8, decimal_places=5, default=Decimal(1))
    jobs = models.PositiveIntegerField()
    drawn_in = models.PositiveIntegerField(
        default=0, help_text="How many wild jobs were drawn in to two spreads of the middle."
    )
    learned_at = models.DateTimeField()

    class Meta:
        ordering = ["branch", "step_kind", "material_key", "machine_name"]
        constraints = [
            models.UniqueConstraint(
                fields=["branch", "step_kind", "material_key", "machine_name"],
                name="learned_rate_once",
            ),
            positive_check("minutes_factor", "learned_rate_factor"),
            positive_check("sigma", "learned_rate_sigma"),
            positive_check("jobs", "learned_rate_jobs"),
        ]

    def __str__(self) -> str:
        return f"{self.branch}, {self.step_kind}: times {self.minutes_factor}"


class CrewPace(models.Model):
    """What finished work says of a crew's pace at a kind of step; it goes before `Crew.pace`."""

    crew = models.ForeignKey(Crew, on_delete=models.CASCADE, related_name="paces")
    step_kind = models.CharField(max_length=12)
    pace = models.DecimalField(max_digits=8, decimal_places=5)
    jobs = models.PositiveIntegerField()
    learned_at = models.DateTimeField()

    class Meta:
        ordering = ["crew", "step_kind"]
        constraints = [
            models.UniqueConstraint(fields=["crew", "step_kind"], name="crew_pace_once_a_kind"),
            positive_check("pace", "crew_pace_learned"),
            positive_check("jobs", "crew_pace_jobs"),
        ]

    def __str__(self) -> str:
        return f"{self.crew}, {self.step_kind}: {self.pace}"
