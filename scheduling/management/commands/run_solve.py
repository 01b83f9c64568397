"""The command `run_solve`: the process that solves one run; a worker starts it, people need not."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from scheduling.runs.execute import run_execute


class Command(BaseCommand):
    # Whoever starts this process has been checked; the checks would load every page, for seconds.
    requires_system_checks = ()
    help = "Solve one planning run (started by the worker, not by hand)."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("run_id", type=int)
        parser.add_argument("--owner", required=True, help="the name under which to claim the run")

    def handle(self, *args: Any, **options: Any) -> None:
        run_execute(run_id=options["run_id"], owner=options["owner"])
