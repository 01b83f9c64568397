"""Telephone calls to superintendents, answered or not; knows no condition."""

from django.conf import settings
from django.db import models
from django.db.models import Exists, F, OuterRef, Q
from django.utils.translation import gettext_lazy as _

from jobs.models.customer import Superintendent


class CallAttemptQuerySet(models.QuerySet["CallAttempt"]):
    """Calls by what came after them."""

    def newest(self) -> "CallAttemptQuerySet":
        """Keep the last call to each superintendent."""
        later = CallAttempt.objects.filter(
            superintendent=OuterRef("superintendent"), number__gt=OuterRef("number")
        )
        return self.filter(~Exists(later))


class CallAttempt(models.Model):
    """One time that somebody of ours rang a superintendent.

    number: counted from 1 for each superintendent; of two people who write down the same call one
    gets through. tries: how many in a row nobody has answered, this one included; 0 when answered.
    rest_until: after a call in vain, the moment until which others are rung first.
    """

    class Outcome(models.TextChoices):
        ANSWERED = "answered", "answered"
        NO_ANSWER = "no_answer", "no answer"

    superintendent = models.ForeignKey(
        Superintendent, on_delete=models.CASCADE, related_name="calls"
    )
    number = models.PositiveIntegerField()
    outcome = models.CharField(max_length=9, choices=Outcome)
    tries = models.PositiveIntegerField()
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    who = models.CharField(max_length=120, help_text="The name, kept even where there is no user.")
    rest_until = models.DateTimeField(null=True, blank=True)

    objects = CallAttemptQuerySet.as_manager()

    class Meta:
        ordering = ["superintendent", "number"]
        constraints = [
            models.UniqueConstraint(fields=["superintendent", "number"], name="call_number_once"),
            models.CheckConstraint(
                condition=Q(outcome="answered", tries=0, rest_until__isnull=True)
                | Q(outcome="no_answer", tries__gte=1, rest_until__gt=F("made_at")),
                name="call_in_vain_rests",
                violation_error_message=_("A call in vain is counted, and rests for a while."),
            ),
        ]

    def __str__(self) -> str:
        return f"Call {self.number} to {self.superintendent}: {self.outcome}"
