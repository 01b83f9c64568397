"""An uploaded sheet between its preview and its confirmation; knows nothing of what is in it."""

import uuid
from datetime import datetime

from django.conf import settings
from django.db import models

from contractor.models import User


class SheetUploadQuerySet(models.QuerySet["SheetUpload"]):
    """Uploads by whose they are and by whether they still stand."""

    def of(self, user: User, now: datetime) -> "SheetUploadQuerySet":
        """Keep what this person uploaded and may still confirm."""
        return self.filter(user=user, expires_at__gt=now)

    def expired(self, now: datetime) -> "SheetUploadQuerySet":
        """Keep what nobody may confirm any more."""
        return self.filter(expires_at__lte=now)


class SheetUpload(models.Model):
    """The bytes of a sheet, kept for the one person who uploaded it."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    filename = models.CharField(max_length=120)
    content = models.BinaryField()
    expires_at = models.DateTimeField(db_index=True)

    objects = SheetUploadQuerySet.as_manager()

    class Meta:
        ordering = ["-expires_at"]

    def __str__(self) -> str:
        return self.filename
