"""`manage.py import_drives FILE --branch NAME`: measured drive minutes into the database."""

import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from contractor.events import Actor
from contractor.models import Branch, Event
from jobs.houses.services.drives import DrivesRefused, drive_times_import
from jobs.sheets import limits


class Command(BaseCommand):
    """Reads a sheet of measured minutes, or says all that is wrong with it."""

    help = (
        "Import a sheet (CSV or XLSX) of measured drive minutes between places of a branch, with "
        "the columns from, to and minutes. A place is the word yard or the name of a site. These "
        "minutes hold instead of those computed from coordinates, both ways unless the sheet "
        "gives both. All of the sheet is imported or, with any error, nothing."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the file and the branch."""
        parser.add_argument("file", metavar="FILE", type=Path, help="the sheet, CSV or XLSX")
        parser.add_argument("--branch", metavar="NAME", required=True, help="the branch (yard)")

    def handle(self, *args: Any, **options: Any) -> None:
        """Import the sheet; errors go to standard error."""
        branch = Branch.objects.filter(name=options["branch"]).first()
        if branch is None:
            names = ", ".join(Branch.objects.values_list("name", flat=True)) or "none yet"
            raise CommandError(f"--branch {options['branch']}: expected one of: {names}")
        try:
            with options["file"].open("rb") as file:
                content = file.read(limits.MOST_BYTES + 1)
        except OSError as error:
            raise CommandError(f"{options['file']}: cannot be read ({error.strerror})") from None
        actor = Actor(who="command import_drives", source=Event.Source.IMPORT)
        try:
            taken = drive_times_import(
                branch=branch, content=content, actor=actor, now=timezone.now()
            )
        except DrivesRefused as refusal:
            self.stderr.write(f"{refusal}\nNothing was imported.")
            sys.exit(1)
        self.stdout.write(
            f"Drives: {taken.new} new, {taken.changed} changed, {taken.unchanged} unchanged."
        )
