"""`manage.py write_heights`: minutes.css from the rule of the week's heights; knows no plan."""

from argparse import ArgumentParser
from pathlib import Path

from django.contrib.staticfiles import finders
from django.core.management.base import BaseCommand, CommandError

from scheduling.weeks.views.scale import style_text

NAME = "scheduling/weeks/minutes.css"


class Command(BaseCommand):
    """Writes the file, or with `--check` only says whether it is as it would be written."""

    help = f"Write {NAME}: one class for each height in the week."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Know `--check`."""
        parser.add_argument(
            "--check", action="store_true", help="write nothing, fail if it differs"
        )

    def handle(self, *, check: bool, **_options: object) -> None:
        """Write or check."""
        path = Path(str(finders.find(NAME)))
        if not check:
            path.write_text(style_text())
        elif path.read_text() != style_text():
            raise CommandError(f"{NAME} is not what its rule makes: run manage.py write_heights")
