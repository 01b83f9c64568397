"""Phones that are signed in by a link of the office, and those links; knows no session."""

from datetime import datetime, timedelta

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from contractor.models.person import Role, User


def lead_check(prefix: str = "") -> Q:
    """Limit a phone to a crew lead at work; who may do more signs in by password."""
    return Q(
        **{
            f"{prefix}role": Role.CREW_LEAD,
            f"{prefix}is_active": True,
            f"{prefix}is_staff": False,
            f"{prefix}is_superuser": False,
        }
    )


class PhoneLinkQuerySet(models.QuerySet["PhoneLink"]):
    """Links by what can still become of them."""

    def open(self, now: datetime) -> "PhoneLinkQuerySet":
        """Keep the links that would still sign a phone in.

        No join, so that an UPDATE stands on the row itself: PostgreSQL looks at it anew after it
        has waited for another, but not at what a subquery found before.
        """
        leads = User.objects.filter(lead_check())
        return self.filter(person__in=leads, used_at=None, revoked_at=None, expires_at__gt=now)


class PhoneLink(models.Model):
    """Signs one phone in as one person, once. The row holds the hash of the secret only.

    used_from: a keyed hash of a word that the browser had been given when it used the link; the
    same browser may ask again when the answer was lost on the way.
    """

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="phone_links"
    )
    secret_hash = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    used_from = models.CharField(max_length=64, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)
    revoked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )

    objects = PhoneLinkQuerySet.as_manager()

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(expires_at__gt=F("made_at")),
                name="phone_link_expires_later",
                violation_error_message=_("A link ends after it was made."),
            ),
            models.CheckConstraint(
                condition=Q(used_at__isnull=True) | Q(revoked_at__isnull=True),
                name="phone_link_used_or_revoked",
                violation_error_message=_("A link is used or withdrawn, not both."),
            ),
        ]

    def __str__(self) -> str:
        return f"Phone link of {self.person}, {self.made_at:%Y-%m-%d %H:%M}"


class PhoneQuerySet(models.QuerySet["Phone"]):
    """Phones by whether they are signed in."""

    def live(self, now: datetime) -> "PhoneQuerySet":
        """Keep the phones that are signed in: ended by nobody, used lately, of a lead at work."""
        since = now - timedelta(days=settings.PHONE_DAYS)
        return self.filter(lead_check("person__"), revoked_at=None, last_seen_at__gt=since)


class Phone(models.Model):
    """A browser of one person that a link of the office signed in.

    unsent, unsent_photos: taps and photographs that it said at `reported_at` it still keeps.
    The session names its phone, not the phone its session: no secret stands here.
    """

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="phones"
    )
    link = models.OneToOneField(
        PhoneLink, on_delete=models.PROTECT, null=True, related_name="phone", editable=False
    )
    name = models.CharField(max_length=80, blank=True, help_text="Device and browser.")
    made_at = models.DateTimeField()
    last_seen_at = models.DateTimeField()
    reported_at = models.DateTimeField(null=True, blank=True)
    unsent = models.PositiveIntegerField(default=0)
    unsent_photos = models.PositiveIntegerField(default=0)
    revoked_at = models.DateTimeField(null=True, blank=True)
    revoked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )

    objects = PhoneQuerySet.as_manager()

    class Meta:
        ordering = ["-id"]
        indexes = [models.Index(fields=["person", "revoked_at"], name="phone_of_person")]

    def __str__(self) -> str:
        return f"{self.name or 'phone'} of {self.person}"
