"""What builders and owners were told of a crew's arrival, by whom and how; rows are added only."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from contractor.models import OutboxMail
from jobs.models import Job
from scheduling.models.fact import AppendOnly


class WindowTold(AppendOnly):
    """A time of arrival that somebody was told; the one of the highest number counts.

    planned_*: the window of the posted week at that moment, so that a later change of the plan is
    known from a day that only runs late. Without from_at it was told that nobody comes. Without
    mail somebody rang.
    """

    class To(models.TextChoices):
        SUPERINTENDENT = "superintendent", "superintendent"
        OWNER = "owner", "owner"

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="windows_told")
    day = models.DateField()
    to = models.CharField(max_length=14, choices=To)
    number = models.PositiveSmallIntegerField(help_text="The how manieth of house, day and person.")
    from_at = models.DateTimeField(null=True)
    to_at = models.DateTimeField(null=True)
    planned_from_at = models.DateTimeField(null=True)
    planned_to_at = models.DateTimeField(null=True)
    told_at = models.DateTimeField()
    told_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    who = models.CharField(max_length=120, help_text="The name, kept even where there is no user.")
    to_name = models.CharField(max_length=120)
    reached = models.CharField(max_length=254, help_text="The mail address or phone number.")
    mail = models.ForeignKey(
        OutboxMail, on_delete=models.PROTECT, null=True, related_name="windows_told"
    )

    class Meta:
        ordering = ["job", "day", "to", "number"]
        indexes = [models.Index(fields=["day", "job"], name="window_of_day")]
        constraints = [
            models.UniqueConstraint(fields=["job", "day", "to", "number"], name="window_told_once"),
            models.CheckConstraint(
                condition=Q(from_at__isnull=True, to_at__isnull=True)
                | Q(from_at__isnull=False, to_at__isnull=False, to_at__gt=F("from_at")),
                name="window_in_order",
                violation_error_message=_("A window ends after it begins, or there is none."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.job}, {self.day}: told {self.to_name}"

    @property
    def has_failed(self) -> bool:
        """Whether the mail could not be delivered, so that nobody knows of it."""
        return self.mail is not None and self.mail.state == OutboxMail.State.DEAD
