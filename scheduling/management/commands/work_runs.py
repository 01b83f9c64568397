"""The command `work_runs`: works on planning runs where there is no Celery worker."""

from argparse import ArgumentParser
from time import sleep
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from scheduling.runs.services.replans import replans_due
from scheduling.runs.worker import be_nice, runs_drain

PAUSE_SECONDS = 2


class Command(BaseCommand):
    # Whoever starts this process has been checked; the checks would load every page, for seconds.
    requires_system_checks = ()
    help = (
        "Work on planning runs that were asked for. Without Redis the site starts this itself, "
        "with --drain --nice 10, whenever a plan is asked for; with Redis a Celery worker does "
        "the work."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--drain", action="store_true", help="leave as soon as no run waits any more"
        )

        parser.add_argument(
            "--nice",
            type=int,
            default=0,
            metavar="N",
            help="leave the processor to others first, 0 to 19, where the system knows how",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        be_nice(options["nice"])
        _work()
        while not options["drain"]:
            sleep(PAUSE_SECONDS)
            _work()


def _work() -> None:
    """Work on what waits, and on what waited for the end of another run to be asked for."""
    runs_drain()
    while replans_due(now=timezone.now(), ring=False):
        runs_drain()
