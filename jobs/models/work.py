"""What a job's spaces give: steps of work and the estimate's warnings."""

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

from contractor.plan_ids import step_plan_id
from jobs.models.house import Job, Space


class Step(models.Model):
    """One kind of work on a job, in order, with the minutes a crew of n people needs."""

    class Kind(models.TextChoices):
        CAP_CHASES = "cap_chases", "chases capped"
        AIR_SEAL = "air_seal", "air seal"
        SEAL_PLATES = "seal_plates", "plates sealed"
        SEAL_BOXES = "seal_boxes", "boxes sealed"
        BAFFLES = "baffles", "baffles"
        SET_BAFFLES = "set_baffles", "baffles set"
        SET_CHUTES = "set_chutes", "vent chutes set"
        NET = "net", "net"
        BATT = "batt", "batts"
        DENSE_FILL = "dense_fill", "dense fill"
        SLOPE_BLOW = "slope_blow", "slope blow"
        SEAL_ATTIC = "seal_attic", "attic floor sealed"
        FLAT_BLOW = "flat_blow", "flat blow"

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="steps")
    kind = models.CharField(max_length=12, choices=Kind)
    position = models.PositiveSmallIntegerField()
    crew_minutes = models.JSONField(help_text='Minutes by people on the crew: {"2": 165, "3": 158}')
    person_minutes = models.PositiveIntegerField()
    machine_kind = models.CharField(max_length=20, blank=True)
    lag_days = models.PositiveSmallIntegerField(default=0)
    lag_reason = models.CharField(max_length=200, blank=True)
    loads = models.JSONField(default=list, blank=True, help_text='[{"item", "quantity", "unit"}]')
    needed = models.BooleanField(
        default=True,
        help_text="Not so where the spaces give no such step any more but a week still holds it.",
    )

    class Meta:
        ordering = ["job", "position"]
        constraints = [
            models.UniqueConstraint(fields=["job", "kind"], name="step_kind_in_job"),
            models.UniqueConstraint(fields=["job", "position"], name="step_position_in_job"),
            models.CheckConstraint(
                condition=Q(person_minutes__gt=0),
                name="step_has_minutes",
                violation_error_message="A step takes at least a minute.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.job}: {self.get_kind_display()}"

    @property
    def plan_id(self) -> str:
        """The planner's name of this step."""
        return step_plan_id(self.pk)


class EstimateWarning(models.Model):
    """Something doubtful in an estimate; some hold their step until somebody answers for it."""

    space = models.ForeignKey(Space, on_delete=models.CASCADE, related_name="warnings")
    code = models.CharField(max_length=40)
    text = models.CharField(max_length=500)
    source = models.CharField(max_length=200, blank=True)
    holds = models.BooleanField(default=False)
    step_kinds = models.JSONField(
        default=list, blank=True, help_text="The kinds of step that it holds."
    )
    answer = models.CharField(max_length=300, blank=True)
    answered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["space", "code"]
        constraints = [
            models.UniqueConstraint(fields=["space", "code"], name="warning_code_in_space"),
            models.CheckConstraint(
                condition=Q(answered_at__isnull=True) | ~Q(answer=""),
                name="warning_answer_has_words",
                violation_error_message="Who answers for a warning says why.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.space}: {self.code}"

    @property
    def is_open(self) -> bool:
        """Whether it still holds its steps."""
        return self.holds and self.answered_at is None

    def save(self, *args: Any, **kwargs: Any) -> None:
        self.text = self.text[:500]
        super().save(*args, **kwargs)
