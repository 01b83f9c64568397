"""What became of dates and reports that builders gave, and what crews found; knows no chance."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from jobs.models.condition import Condition
from jobs.models.house import Job


class PromiseOutcome(models.Model):
    """What became of one date or report about a condition; made anew from its moves each time.

    said: the date given, or the day of the report. came: the day on which it was done, or on
    which somebody looked. slip_days: working days past the date. found_true: of a report.
    """

    class Kind(models.TextChoices):
        PROMISE = "promise", "promise"
        READY_DATE = "ready_date", "ready date"
        REPORT = "report", "report"

    condition = models.ForeignKey(Condition, on_delete=models.CASCADE, related_name="outcomes")
    kind = models.CharField(max_length=10, choices=Kind)
    said = models.DateField()
    came = models.DateField()
    slip_days = models.PositiveIntegerField(null=True)
    found_true = models.BooleanField(null=True)

    class Meta:
        ordering = ["condition", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind="report", slip_days__isnull=True, found_true__isnull=False)
                | Q(
                    kind__in=["promise", "ready_date"],
                    slip_days__isnull=False,
                    found_true__isnull=True,
                ),
                name="outcome_slip_or_truth",
                violation_error_message=_("A date has a slip, a report is true or not."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.condition}: {self.kind} of {self.said}"


class Finding(models.Model):
    """What a crew found on a visit: whether it could start. Never changed; a later one counts.

    stated: the chance for that morning by what stood when the visit was written down, before it
    was set right by earlier visits.
    """

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="findings")
    day = models.DateField()
    could_start = models.BooleanField()
    stated = models.FloatField()
    step_kinds = models.JSONField(help_text="The kinds of step that the crew came for.")
    missing = models.JSONField(
        default=list, blank=True, help_text="Codes of the conditions that were not true."
    )
    note = models.CharField(max_length=300, blank=True)
    said = models.BooleanField(
        default=False, help_text="Drawn from what crews said on their phones."
    )
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    who = models.CharField(max_length=120, help_text="The name, kept even where there is no user.")

    class Meta:
        ordering = ["job", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(stated__gte=0, stated__lte=1),
                name="finding_stated_is_a_chance",
                violation_error_message=_("Stated chance: expected 0 to 1."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.job}, {self.day}: {'could' if self.could_start else 'could not'} start"
