"""`manage.py demo`: an invented company, planned, posted and served."""

import socket
import threading
from argparse import ArgumentParser
from datetime import date, datetime
from io import StringIO
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.management import CommandError, call_command
from django.core.management.base import BaseCommand
from django.db import connection
from django.urls import reverse
from django.utils import timezone

from contractor.models import Branch
from contractor.workdays import IsoWeek
from scheduling.checklists.mail_round import mail_rounds
from scheduling.demo.company import PASSWORD, ZONE
from scheduling.demo.days import days_load
from scheduling.demo.load import ACTOR, checklist_secret, company_load, company_there
from scheduling.demo.sheet import next_monday
from scheduling.models import Week, WeekVersion
from scheduling.weeks.services.posting import week_post

HOST = "127.0.0.1"
SOLVE_SECONDS = 15


class Command(BaseCommand):
    """Shows Baywright to who has never seen it."""

    help = (
        "Load an invented insulation contractor with about forty houses, plan the coming two "
        "weeks, post the first, and serve it on 127.0.0.1. Run again, it keeps what is there."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--fresh", action="store_true", help="delete everything in the database and start over"
        )
        parser.add_argument(
            "--no-serve", action="store_true", help="load and plan, then end without serving"
        )
        parser.add_argument(
            "--port", type=int, default=8000, help="the port to serve on (8000 when left out)"
        )

    def handle(self, *, fresh: bool, no_serve: bool, port: int, **_options: Any) -> None:
        if not settings.DEBUG:
            raise CommandError("The demo's passwords are public: it runs in development only.")
        if not no_serve:
            _port_check(port)
        if fresh:
            _database_empty()
        call_command("migrate", verbosity=0)
        now = timezone.now()
        today = now.astimezone(ZoneInfo(ZONE)).date()
        branch = company_there() or self._load(today, now)
        if not WeekVersion.objects.filter(week__branch=branch).exists():
            self._plan(branch, today)
            days_load(branch=branch, today=today, actor=ACTOR, now=timezone.now())
        self._tell(branch, port)
        if not no_serve:
            # Mail goes out while the demo runs, and ends with it.
            threading.Thread(target=mail_rounds, args=(threading.Event(),), daemon=True).start()
            call_command("runserver", f"{HOST}:{port}", use_reloader=False, skip_checks=True)

    def _load(self, today: date, now: datetime) -> Branch:
        if Branch.objects.exists():
            raise CommandError(
                "The database holds another company's branch. The demo would mix with it: name "
                "another database by DATABASE_URL or DATA_DIR, or delete everything by --fresh."
            )
        self.stdout.write("Loading the invented company …")
        return company_load(today=today, now=now)

    def _plan(self, branch: Branch, today: date) -> None:
        self.stdout.write(f"Planning the coming two weeks, {SOLVE_SECONDS} s at most …")
        week = IsoWeek.of(next_monday(today))
        call_command(
            "plan_week",
            branch=branch.name,
            week=str(week),
            weeks=2,
            seconds=SOLVE_SECONDS,
            stdout=StringIO(),
            stderr=StringIO(),
        )
        planned = Week.objects.get(branch=branch, iso_year=week.year, iso_week=week.week)
        week_post(
            actor=ACTOR,
            branch=branch,
            week=week,
            expected=planned.revision,
            now=timezone.now(),
            today=today,
        )

    def _tell(self, branch: Branch, port: int) -> None:
        site = f"http://{HOST}:{port}"
        person, secret = checklist_secret(branch=branch, now=timezone.now())
        week = _week_posted_last(branch)
        lines = (
            "",
            f"Baywright's demo: {branch.name}, an invented branch. Everybody's password is",
            f"    {PASSWORD}",
            "",
            f"office     omar   {site}/week/{week}/",
            f"owner      olive  {site}/week/{week}/   (and {site}/admin/)",
            f"estimator  esme   {site}{reverse('job-list')}",
            f"crew lead  cleo   {site}{reverse('crew-days')}   (ines reads Spanish)",
            f"superintendent {person}, no account:",
            f"    {site}{reverse('checklist', args=[secret])}",
            f"mail to superintendents goes to files in {settings.EMAIL_FILE_PATH}",
            "",
        )
        self.stdout.write("\n".join(lines))


def _week_posted_last(branch: Branch) -> IsoWeek:
    """Return the week that was planned and posted whole: the last of those posted."""
    posted = Week.objects.filter(branch=branch, versions__state=WeekVersion.State.POSTED)
    week = posted.order_by("iso_year", "iso_week").last()
    assert week is not None  # noqa: S101 - it was posted above
    return IsoWeek(week.iso_year, week.iso_week)


def _port_check(port: int) -> None:
    if not 1 <= port <= 65535:
        raise CommandError(f"--port {port}: expected a number from 1 to 65535.")
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, port))
        except OSError as error:
            raise CommandError(
                f"Port {port} on {HOST} cannot be served on ({error.strerror}). Is the demo "
                f"running already? Otherwise take another: manage.py demo --port {port + 1}"
            ) from error


def _database_empty() -> None:
    """Start over: a SQLite file is removed, any other database is emptied table by table."""
    if connection.vendor == "sqlite":
        file = Path(str(connection.settings_dict["NAME"]))
        connection.close()
        for part in (file, Path(f"{file}-wal"), Path(f"{file}-shm")):
            part.unlink(missing_ok=True)
        return
    call_command("migrate", verbosity=0)
    call_command("flush", interactive=False, verbosity=0)
