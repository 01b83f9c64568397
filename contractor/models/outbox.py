"""Mail that waits to be sent, was sent or died, and who wants none; knows nobody's trade."""

from datetime import datetime
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from contractor.models.branch import Branch


def validate_one_line(value: str) -> None:
    """Raise ValidationError for a text that would run on into another header of a mail."""
    if any(ord(sign) < 32 or ord(sign) == 127 for sign in value):
        raise ValidationError(_("Expected one line without control characters."))


class MailAddress(models.Model):
    """Somebody's mailbox, in small letters; with the moment at which the person stopped mail."""

    email = models.EmailField(unique=True)
    stopped_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "mail addresses"
        ordering = ["email"]

    def __str__(self) -> str:
        return self.email


class OutboxMailQuerySet(models.QuerySet["OutboxMail"]):
    """Mails by what is to be done with them."""

    def waiting(self) -> "OutboxMailQuerySet":
        """Keep the mails that are still to be sent."""
        return self.filter(state=OutboxMail.State.WAITING)

    def unattended(self, now: datetime) -> "OutboxMailQuerySet":
        """Keep the waiting mails that no sender has in hand."""
        return self.waiting().filter(Q(lease_until=None) | Q(lease_until__lte=now))

    def claimable(self, now: datetime) -> "OutboxMailQuerySet":
        """Keep the mails whose next try is due."""
        due = self.unattended(now).filter(next_try_at__lte=now, tries__lt=OutboxMail.MAX_TRIES)
        return due.filter(address__stopped_at=None).exclude(expires_at__lte=now)

    def hopeless(self, now: datetime) -> "OutboxMailQuerySet":
        """Keep the waiting mails that should not be tried any more: worn out, late, unwanted."""
        return self.unattended(now).filter(
            Q(tries__gte=OutboxMail.MAX_TRIES)
            | Q(expires_at__lte=now)
            | Q(address__stopped_at__isnull=False)
        )


class OutboxMail(models.Model):
    """One mail, written in the transaction of the change that it tells of.

    sealed: the places in text and html that the sender fills with a link's secret, which is
    stored nowhere. spans_branches: it tells of houses of other branches, too.
    """

    MAX_TRIES = 8

    class Kind(models.TextChoices):
        DIGEST = "digest", "daily digest"
        RECEIPT = "receipt", "receipt"
        TURNED_AWAY = "turned", "crew turned away"
        WINDOW = "window", "arrival window"

    class State(models.TextChoices):
        WAITING = "waiting", "waiting"
        SENT = "sent", "sent"
        DEAD = "dead", "dead"

    key = models.CharField(max_length=100, unique=True, help_text="What it tells; told once.")
    kind = models.CharField(max_length=10, choices=Kind)
    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="+")
    spans_branches = models.BooleanField(default=False)
    address = models.ForeignKey(MailAddress, on_delete=models.PROTECT, related_name="mails")
    to_name = models.CharField(max_length=120, blank=True, validators=[validate_one_line])
    language = models.CharField(max_length=5, choices=settings.LANGUAGES)
    subject = models.CharField(max_length=200, validators=[validate_one_line])
    text = models.TextField()
    html = models.TextField(blank=True)
    headers: "models.JSONField[Any, Any]" = models.JSONField(default=dict, blank=True)
    sealed: "models.JSONField[Any, Any]" = models.JSONField(default=list, blank=True)
    state = models.CharField(max_length=7, choices=State, default=State.WAITING)
    tries = models.PositiveSmallIntegerField(default=0)
    last_error = models.CharField(max_length=500, blank=True)
    created_at = models.DateTimeField()
    next_try_at = models.DateTimeField()
    expires_at = models.DateTimeField(help_text="After this it is too late to be worth sending.")
    lease_owner = models.CharField(max_length=80, blank=True)
    lease_until = models.DateTimeField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)

    objects = OutboxMailQuerySet.as_manager()

    class Meta:
        ordering = ["-id"]
        indexes = [models.Index(fields=["state", "next_try_at"], name="outbox_due")]
        constraints = [
            models.CheckConstraint(
                condition=Q(state="sent", sent_at__isnull=False)
                | (~Q(state="sent") & Q(sent_at__isnull=True)),
                name="outbox_sent_has_moment",
                violation_error_message=_("A mail has the moment of sending once it is sent."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.key} to {self.address}"
