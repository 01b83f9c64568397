"""The command `export_plan`: prints the plan of some weeks as it stands."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from scheduling.gather.feasible import feasible_plan
from scheduling.management.weeks_chosen import gathered_for, weeks_arguments, weeks_chosen
from scheduling.planning.plan import plan_to_json


class Command(BaseCommand):
    help = (
        "Print the plan of some weeks as JSON (format week-plan/1): of each week the draft where "
        "there is one, else what is posted. It is always clean against what export_problem "
        "prints at the same moment; what facts have overtaken is named on standard error."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        weeks_arguments(parser)

    def handle(self, *args: Any, **options: Any) -> None:
        standing = feasible_plan(gathered_for(weeks_chosen(options)))
        for note in standing.notes:
            self.stderr.write(note)
        self.stdout.write(json.dumps(plan_to_json(standing.plan), indent=1))
