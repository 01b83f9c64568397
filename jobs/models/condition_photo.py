"""Photographs that answer for a condition."""

from django.db import models

from contractor.models import Photo
from jobs.models.condition import Condition


class ConditionPhoto(models.Model):
    """A photograph sent with an answer, and what the answer said the condition was."""

    condition = models.ForeignKey(Condition, on_delete=models.CASCADE, related_name="photos")
    photo = models.OneToOneField(Photo, on_delete=models.CASCADE, related_name="+")
    state = models.CharField(max_length=14, choices=Condition.State)

    class Meta:
        ordering = ["photo__sent_at"]

    def __str__(self) -> str:
        return f"{self.condition}, {self.photo}"
