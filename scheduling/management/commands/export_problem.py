"""The command `export_problem`: prints what the planner would be asked."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from scheduling.management.weeks_chosen import gathered_for, weeks_arguments, weeks_chosen
from scheduling.planning.problem import problem_to_json


class Command(BaseCommand):
    help = (
        "Print the planning problem of some weeks as JSON (format week-problem/1): crews, "
        "machines, jobs with their steps, and what is posted. Jobs that cannot be planned yet "
        "are named on standard error with what holds them up."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        weeks_arguments(parser)

    def handle(self, *args: Any, **options: Any) -> None:
        gathered = gathered_for(weeks_chosen(options))
        for held in gathered.held:
            self.stderr.write(f"left off: {held.outlook.job}: {held.sentence}")
        for drive in gathered.guessed:
            place = gathered.names.named(drive.id)
            self.stderr.write(f"no coordinates: {place}, counted as {drive.minutes} minutes away")
        self.stdout.write(json.dumps(problem_to_json(gathered.problem), indent=1))
