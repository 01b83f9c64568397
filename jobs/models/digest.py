"""The daily digests that superintendents were written, and the links that those opened."""

from typing import Any

from django.db import models

from contractor.models import OutboxMail
from jobs.models.condition import ChecklistLink
from jobs.models.customer import Superintendent


class Digest(models.Model):
    """What one superintendent was told on one day; there is none for a day with nothing to say.

    owed: the ids of all conditions that were open then, told or not: what is not among them the
    next time is newly owed.
    """

    superintendent = models.ForeignKey(
        Superintendent, on_delete=models.CASCADE, related_name="digests"
    )
    day = models.DateField()
    written_at = models.DateTimeField()
    mail = models.OneToOneField(OutboxMail, on_delete=models.CASCADE, related_name="digest")
    owed: "models.JSONField[Any, Any]" = models.JSONField(default=list)

    class Meta:
        ordering = ["-day"]
        constraints = [
            models.UniqueConstraint(fields=["superintendent", "day"], name="digest_once_a_day"),
        ]

    def __str__(self) -> str:
        return f"{self.superintendent}, {self.day}"


class DigestLink(models.Model):
    """A link that a digest opened, and the sealed word that stands for its secret in mail."""

    digest = models.ForeignKey(Digest, on_delete=models.CASCADE, related_name="links")
    link = models.OneToOneField(ChecklistLink, on_delete=models.CASCADE, related_name="of_digest")
    seal = models.CharField(max_length=64)

    def __str__(self) -> str:
        return f"{self.digest}: {self.link}"
