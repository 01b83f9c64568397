"""The command `work_runs`: works on planning runs where there is no Celery worker."""

from argparse import ArgumentParser
from time import sleep
from typing import Any

from django.core.management.base import BaseCommand

from scheduling.runs.worker import be_nice, runs_drain

PAUSE_SECONDS = 2


class Command(BaseCommand):
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
        runs_drain()
        while not options["drain"]:
            sleep(PAUSE_SECONDS)
            runs_drain()
