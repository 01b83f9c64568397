"""The choice of branch and weeks that several commands share; reads no plan."""

from argparse import ArgumentParser
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.core.management.base import CommandError
from django.utils import timezone

from contractor.models import Branch
from contractor.workdays import IsoWeek, WorkdayError, parse_iso_week
from jobs.localtime import local_date
from scheduling.gather.gathered import Gathered, GatherError, gather

MOST_WEEKS = 6


@dataclass(frozen=True)
class WeeksChosen:
    """A branch, the first week, how many weeks, and what time it is."""

    branch: Branch
    first: IsoWeek
    weeks: int
    now: datetime
    today: date


def weeks_arguments(parser: ArgumentParser) -> None:
    """Add the options that choose a branch and weeks."""
    parser.add_argument(
        "--branch", required=True, metavar="NAME", help="the name of the branch (yard)"
    )
    parser.add_argument(
        "--week",
        required=True,
        metavar="YEAR-Wnn",
        help="the first week, as ISO 8601 writes it: 2027-W09 starts on Monday 1 March 2027",
    )
    parser.add_argument(
        "--weeks",
        type=int,
        default=2,
        metavar="N",
        help=f"how many weeks from there, 1 to {MOST_WEEKS} (default: 2)",
    )


def weeks_chosen(options: dict[str, Any]) -> WeeksChosen:
    """Return what was chosen. Raises CommandError that says what was expected."""
    branch = Branch.objects.filter(name=options["branch"]).first()
    if branch is None:
        names = ", ".join(Branch.objects.values_list("name", flat=True)) or "none yet"
        raise CommandError(f"There is no branch {options['branch']!r}. Branches: {names}.")
    if not 1 <= options["weeks"] <= MOST_WEEKS:
        raise CommandError(f"--weeks {options['weeks']}: expected 1 to {MOST_WEEKS}.")
    try:
        first = parse_iso_week(options["week"])
    except WorkdayError as error:
        raise CommandError(f"--week: {error}.") from error
    now = timezone.now()
    return WeeksChosen(branch, first, options["weeks"], now, local_date(branch, now))


def gathered_for(chosen: WeeksChosen) -> Gathered:
    """Return the problem of the chosen weeks. Raises CommandError where nothing is left of them."""
    try:
        return gather(
            branch=chosen.branch, first=chosen.first, weeks=chosen.weeks, today=chosen.today
        )
    except GatherError as error:
        raise CommandError(str(error)) from error
