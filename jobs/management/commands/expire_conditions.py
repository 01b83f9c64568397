"""`manage.py expire_conditions`: appointments and hours that have run out go back to owed."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from contractor.events import Actor
from jobs.readiness.services.expiry import conditions_expire


class Command(BaseCommand):
    """Moves what has run out back to owed, and says what."""

    help = (
        "Send conditions that have run out back to owed, with the reason: an appointment whose "
        "day is past without a word, and what counts for so many hours only. Safe to run at any "
        "time and often; an hour apart is usual."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        """Move them; one line for each."""
        moved = conditions_expire(actor=Actor.of_command("expire_conditions"), now=timezone.now())
        for condition in moved:
            self.stdout.write(f"{condition}: owed again. {condition.reason}")
        self.stdout.write(f"Conditions that ran out: {len(moved)}.")
