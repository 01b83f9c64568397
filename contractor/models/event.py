"""The append-only record of who changed what, when and from where."""

from typing import Any, NoReturn

from django.conf import settings
from django.db import models


class EventQuerySet(models.QuerySet["Event"]):
    """Reads events; refuses to change or remove them."""

    def update(self, **kwargs: Any) -> NoReturn:
        raise TypeError("Events are append-only: they cannot be changed.")

    def delete(self) -> NoReturn:
        raise TypeError("Events are append-only: they cannot be deleted.")


class Event(models.Model):
    """One change: written by the service that made it, in the same transaction."""

    class Source(models.TextChoices):
        OFFICE = "office", "office"
        PHONE = "phone", "phone page"
        LINK = "link", "link"
        IMPORT = "import", "import"
        COMMAND = "command", "command"
        PLANNER = "planner", "planner"

    at = models.DateTimeField(db_index=True)
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    who = models.CharField(max_length=120, help_text="The name, kept even where there is no user.")
    source = models.CharField(max_length=10, choices=Source)
    verb = models.CharField(max_length=40)
    noun = models.CharField(max_length=40)
    noun_id = models.CharField(max_length=40)
    branch = models.ForeignKey(
        "contractor.Branch", on_delete=models.PROTECT, null=True, related_name="+"
    )
    what = models.JSONField(default=dict)

    objects = EventQuerySet.as_manager()

    class Meta:
        ordering = ["-id"]
        indexes = [models.Index(fields=["noun", "noun_id"], name="event_noun")]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.who}: {self.noun} {self.noun_id} {self.verb}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk is not None:
            raise TypeError("Events are append-only: they cannot be changed.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise TypeError("Events are append-only: they cannot be deleted.")
