"""The command `plan_week`: plans weeks in the foreground, accepts the plan, posts it if asked."""

import json
import os
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from contractor.events import Actor
from scheduling.management.weeks_chosen import WeeksChosen, weeks_arguments, weeks_chosen
from scheduling.models import PlanningRun, Week, WeekVersion
from scheduling.runs.execute import run_execute_alone
from scheduling.runs.services.runs import run_accept, run_ask
from scheduling.weeks.services.posting import week_post
from scheduling.weeks.services.refusals import PlanRefused

ACTOR = Actor.of_command("plan_week")
MOST_SECONDS = 600


class Command(BaseCommand):
    help = (
        "Plan some weeks of a branch and wait for the plan, accept it into the draft, and print "
        "the outcome as JSON (format week-outcome/1) on standard output and nothing else there. "
        "With --post the drafts of these weeks are posted, so that crews and builders see them."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        weeks_arguments(parser)
        parser.add_argument(
            "--seconds",
            type=int,
            default=20,
            metavar="N",
            help=f"how long to search at most, 1 to {MOST_SECONDS} (default: 20)",
        )
        parser.add_argument("--post", action="store_true", help="post the weeks once planned")

    def handle(self, *args: Any, **options: Any) -> None:
        if not 1 <= options["seconds"] <= MOST_SECONDS:
            raise CommandError(f"--seconds {options['seconds']}: expected 1 to {MOST_SECONDS}.")
        chosen = weeks_chosen(options)
        try:
            run = self._solve(chosen, options["seconds"])
            labels = run_accept(actor=ACTOR, run=run, now=timezone.now(), today=chosen.today)
            self.stderr.write(f"drafted: {', '.join(labels) or 'nothing, the weeks stood so'}")
            if options["post"]:
                self._post(chosen)
        except PlanRefused as refused:
            raise CommandError(str(refused)) from refused
        self.stdout.write(json.dumps(run.outcome, indent=1))

    def _solve(self, chosen: WeeksChosen, seconds: int) -> PlanningRun:
        now = timezone.now()
        run = run_ask(
            actor=ACTOR,
            branch=chosen.branch,
            first=chosen.first,
            weeks=chosen.weeks,
            seconds=seconds,
            now=now,
            today=chosen.today,
            ring=False,
        )
        if run.asked_at != now:
            raise CommandError(f"Run {run.pk} is planning for this branch already; wait for it.")
        run_execute_alone(run_id=run.pk, owner=f"plan_week/{os.getpid()}")
        run.refresh_from_db()
        if run.state not in PlanningRun.PROPOSING:
            raise CommandError(run.error or f"Run {run.pk} gave no plan: {run.state}.")
        return run

    def _post(self, chosen: WeeksChosen) -> None:
        for number in range(chosen.weeks):
            iso = chosen.first.plus(number)
            week = Week.objects.get(branch=chosen.branch, iso_year=iso.year, iso_week=iso.week)
            if week.versions.filter(state=WeekVersion.State.DRAFT).exists():
                week_post(
                    actor=ACTOR,
                    branch=chosen.branch,
                    week=iso,
                    expected=week.revision,
                    now=timezone.now(),
                    today=chosen.today,
                )
                self.stderr.write(f"posted: {iso}")
