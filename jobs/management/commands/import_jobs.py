"""`manage.py import_jobs FILE`: a job sheet into the database, or all that is wrong with it."""

import sys
from argparse import RawDescriptionHelpFormatter
from pathlib import Path
from textwrap import fill
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from contractor.access import Scope
from contractor.events import Actor
from contractor.models import Event
from jobs.conditions.words import COVERS, SPACE_KINDS
from jobs.imports.plan import ImportPlan, JobPlan
from jobs.imports.queries.preview import import_preview
from jobs.imports.services import ImportRefused, import_apply
from jobs.sheets import limits
from jobs.sheets.columns import COLUMNS

EVERYWHERE = Scope(all_branches=True)


class Command(BaseCommand):
    """Reads a sheet, says what is new and what changes, and writes it unless told not to."""

    help = (
        "Import a sheet of jobs: CSV or XLSX, one row for each space of a house.\n\n"
        f"{fill('Columns, in any order: ' + ', '.join(c.name for c in COLUMNS), 88)}.\n"
        f"Needed: {', '.join(column.name for column in COLUMNS if column.required)}, and the "
        "measures that the kind of space asks for.\n"
        f"Kinds: {', '.join(SPACE_KINDS)}. Covers of slopes: {', '.join(COVERS)}.\n"
        "Dates are written 2027-03-05, or are date cells. An empty branch takes the only branch,\n"
        "an empty material the branch's usual one, an empty year_built means a new house.\n\n"
        "All of the sheet is imported or, if anything in it is wrong, nothing: then every error\n"
        "is printed with its row and column, and the exit status is 1. The same sheet again\n"
        "changes nothing; a changed row changes its space. A row that is gone removes nothing."
    )

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        """Keep the lines of the help as they are written."""
        kwargs.setdefault("formatter_class", RawDescriptionHelpFormatter)
        return super().create_parser(prog_name, subcommand, **kwargs)

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the file and whether to write."""
        parser.add_argument("file", metavar="FILE", type=Path, help="the sheet, CSV or XLSX")
        parser.add_argument(
            "--dry-run", action="store_true", help="say what would be done, and write nothing"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Import or preview the sheet; errors go to standard error."""
        content = _content(options["file"])
        plan = _preview(content) if options["dry_run"] else _import(content)
        if plan.errors:
            self.stderr.write("\n".join([*map(str, plan.errors), _refusal(plan)]))
            sys.exit(1)
        for job in (*plan.new, *plan.changed):
            self.stdout.write(job_line(job))
        self.stdout.write(summary(plan, written=not options["dry_run"]))


def _content(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(limits.MOST_BYTES + 1)
    except OSError as error:
        raise CommandError(f"{path}: cannot be read ({error.strerror})") from None


def _preview(content: bytes) -> ImportPlan:
    return import_preview(content=content, scope=EVERYWHERE)


def _import(content: bytes) -> ImportPlan:
    actor = Actor(who="command import_jobs", source=Event.Source.IMPORT)
    try:
        return import_apply(content=content, scope=EVERYWHERE, actor=actor, now=timezone.now())
    except ImportRefused as refusal:
        return refusal.plan


def _refusal(plan: ImportPlan) -> str:
    count = len(plan.errors)
    return f"{count} error{'s' if count > 1 else ''}; nothing was imported."


def job_line(plan: JobPlan) -> str:
    """Put a job in a line: `changed  Quarry Lane, Lot 14 (Hazel Homes): attic: area_ft2 1 -> 2`."""
    parts = [str(change) for change in (*plan.told_of_site, *plan.changes)]
    parts += [
        f"{space.name}: {', '.join(map(str, space.changes)) or 'new'}"
        for space in plan.spaces_to_write
    ]
    return f"{plan.state:<8} {plan.title} ({plan.site.builder}): {'; '.join(parts)}"


def summary(plan: ImportPlan, *, written: bool) -> str:
    """Tell how many jobs are new, changed and unchanged."""
    counts = f"{len(plan.new)} new, {len(plan.changed)} changed, {len(plan.unchanged)} unchanged"
    return f"Jobs: {counts}." + ("" if written else " Nothing was written (--dry-run).")
