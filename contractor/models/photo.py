"""A photograph that somebody sent, made anew by us; knows nothing of what it shows."""

import uuid

from django.db import models

from contractor.models.branch import Branch


class Photo(models.Model):
    """A JPEG without any of what the sender's file carried beside the picture.

    The bytes lie in the database: they come and go in one transaction with what they belong to,
    and every web process sees them.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    branch = models.ForeignKey(Branch, on_delete=models.CASCADE, related_name="+")
    content = models.BinaryField()
    width = models.PositiveIntegerField(help_text="Pixels.")
    height = models.PositiveIntegerField(help_text="Pixels.")
    sent_by = models.CharField(max_length=120)
    sent_at = models.DateTimeField()

    class Meta:
        ordering = ["sent_at"]

    def __str__(self) -> str:
        return f"Photo by {self.sent_by}, {self.sent_at:%Y-%m-%d}"
