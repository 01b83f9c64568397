"""Pre-work conditions of a job and the links by which superintendents answer for them."""

from datetime import datetime

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from contractor.models import Branch
from jobs.models.customer import Superintendent
from jobs.models.house import Job


class Condition(models.Model):
    """Something that must be true before a step of the job may start."""

    class State(models.TextChoices):
        OWED = "owed", "owed"
        PROMISED = "promised", "promised"
        REPORTED_DONE = "reported_done", "reported done"
        SEEN_DONE = "seen_done", "seen done"
        WAIVED = "waived", "waived"
        TAKEN_OVER = "taken_over", "taken over"

    class Gate(models.TextChoices):
        STOP = "stop", "stop"
        LAW = "law", "law"
        BLOCK = "block", "block"
        WARN = "warn", "warn"
        CLOSE = "close", "close"

    class ByHand(models.TextChoices):
        ADDED = "added", "added by hand"
        STRUCK = "struck", "struck by hand"

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="conditions")
    code = models.CharField(max_length=40)
    name = models.CharField(max_length=120)
    owed_by = models.CharField(max_length=20)
    gate = models.CharField(max_length=6, choices=Gate)
    holds = models.JSONField(blank=True, help_text="The kinds of step that it holds up.")
    state = models.CharField(max_length=14, choices=State, default=State.OWED)
    promised_for = models.DateField(null=True, blank=True)
    reason = models.CharField(max_length=300, blank=True)
    document = models.CharField(max_length=200, blank=True)
    moved_by = models.CharField(max_length=120, blank=True)
    moved_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)
    needed = models.BooleanField(
        default=True,
        help_text="Not so where the spaces ask for it no more; it is kept for its history.",
    )
    entry = models.JSONField(
        default=dict,
        blank=True,
        editable=False,
        help_text="The catalogue's entry when the job took it; empty: the seeded one.",
    )
    by_hand = models.CharField(max_length=6, choices=ByHand, blank=True)
    by_hand_reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["job", "code"]
        constraints = [
            models.UniqueConstraint(fields=["job", "code"], name="condition_code_in_job"),
            models.CheckConstraint(
                condition=~Q(state="promised") | Q(promised_for__isnull=False),
                name="condition_promise_has_date",
                violation_error_message=_("A promise needs a date."),
            ),
            models.CheckConstraint(
                condition=~Q(state="waived") | ~Q(reason=""),
                name="condition_waiver_has_reason",
                violation_error_message=_("A waiver needs a reason."),
            ),
            models.CheckConstraint(
                condition=~Q(state="waived", gate="stop"),
                name="condition_stop_never_waived",
                violation_error_message=_("A stop condition cannot be waived by anyone."),
            ),
            models.CheckConstraint(
                condition=~Q(by_hand="struck") | ~Q(gate__in=["stop", "law"]),
                name="condition_stop_and_law_never_struck",
                violation_error_message=_("A stop or a law cannot be struck from a job."),
            ),
            models.CheckConstraint(
                condition=Q(by_hand="") | ~Q(by_hand_reason=""),
                name="condition_by_hand_has_reason",
                violation_error_message=_("Say why it is added or struck."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.job}: {self.name}"


class ChecklistLinkQuerySet(models.QuerySet["ChecklistLink"]):
    """Links by whether they still open."""

    def alive(self, now: datetime) -> "ChecklistLinkQuerySet":
        """Keep the links that are neither expired nor revoked."""
        return self.filter(revoked_at__isnull=True, expires_at__gt=now)


class ChecklistLink(models.Model):
    """A superintendent's way in: 256 random bits, of which only the hash is kept."""

    superintendent = models.ForeignKey(
        Superintendent, on_delete=models.CASCADE, related_name="links"
    )
    branch = models.ForeignKey(Branch, on_delete=models.CASCADE, related_name="+")
    secret_hash = models.CharField(max_length=64, unique=True)
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)

    objects = ChecklistLinkQuerySet.as_manager()

    class Meta:
        ordering = ["-created_at"]

    def __str__(self) -> str:
        return f"Link of {self.superintendent}, expires {self.expires_at:%Y-%m-%d}"
