"""Codes that open a superintendent's checklist when typed, and the tries that found nothing."""

from django.db import models

from jobs.models.condition import ChecklistLink


class ChecklistCode(models.Model):
    """A short code for a link, to type from paper; only its keyed hash is kept."""

    link = models.ForeignKey(ChecklistLink, on_delete=models.CASCADE, related_name="codes")
    code_hash = models.CharField(max_length=64, unique=True)
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()

    class Meta:
        ordering = ["-created_at"]

    def __str__(self) -> str:
        return f"Code for {self.link}"


class CodeEntry(models.Model):
    """A link that was made because somebody typed a code; it closes with the code's own link."""

    code = models.ForeignKey(ChecklistCode, on_delete=models.CASCADE, related_name="entries")
    link = models.OneToOneField(ChecklistLink, on_delete=models.CASCADE, related_name="entry")

    def __str__(self) -> str:
        return f"Entry by {self.code}"


class CodeTry(models.Model):
    """A code typed in vain, or one being looked up; counted for an hour and then forgotten."""

    at = models.DateTimeField(db_index=True)
    place_hash = models.CharField(
        max_length=64, db_index=True, help_text="Keyed hash of the network address."
    )

    class Meta:
        ordering = ["-at"]

    def __str__(self) -> str:
        return f"Try at {self.at:%Y-%m-%d %H:%M}"
