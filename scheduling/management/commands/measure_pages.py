"""`manage.py measure_pages`: what each page weighs, asks of the database and takes, printed."""

import gzip
import re
import statistics
import time
from argparse import ArgumentParser
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.contrib.staticfiles import finders
from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from contractor.models import Role, User
from jobs.models import Job
from scheduling.demo.load import checklist_secret, company_there
from scheduling.models import CrewDay, WeekVersion


@dataclass(frozen=True)
class Measured:
    """One page: its compressed weight, its statements, and its server time over the rounds.

    first_kilobytes: with its stylesheets and scripts, which a second visit does not ask for.
    """

    name: str
    first_kilobytes: float
    kilobytes: float
    queries: int
    median_ms: float
    p95_ms: float


class Command(BaseCommand):
    """Prints figures; asserts nothing, since a clock is no judge in a test."""

    help = (
        "Open the main pages of the demo's branch as each kind of user and print, for each, its "
        "compressed size, its number of SQL statements and its server time. Load the demo first."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--rounds", type=int, default=30, help="how often to open each page")

    def handle(self, *, rounds: int, **_options: Any) -> None:
        if company_there() is None:
            raise CommandError("There is no demo to measure: run manage.py demo --no-serve first.")
        self.stdout.write(
            f"{'page':<12}{'first kB':>9}{'kB gzip':>9}{'queries':>9}{'median ms':>11}{'p95 ms':>8}"
        )
        for name, url, user in pages_of_demo():
            found = _measure(name, url, user, max(rounds, 2))
            self.stdout.write(
                f"{found.name:<12}{found.first_kilobytes:>9.1f}{found.kilobytes:>9.1f}"
                f"{found.queries:>9}"
                f"{found.median_ms:>11.1f}{found.p95_ms:>8.1f}"
            )


def pages_of_demo() -> list[tuple[str, str, User | None]]:
    """Return the main pages: name, address, and who opens it; nobody opens the checklist.

    Raises CommandError where the demo has no posted week.
    """
    branch = company_there()
    office = User.objects.filter(role=Role.OFFICE, branch=branch).first()
    lead = User.objects.filter(role=Role.CREW_LEAD, crew_member__crew__name="Pine").first()
    posted = WeekVersion.objects.filter(state=WeekVersion.State.POSTED).first()
    day = CrewDay.objects.posted().filter(crew__name="Pine").first()
    job = Job.objects.order_by("pk").first()
    if branch is None or posted is None or day is None or job is None:
        raise CommandError("The demo has no posted week: run manage.py demo --fresh --no-serve.")
    _, secret = checklist_secret(branch=branch, now=timezone.now())
    week = reverse("week-at", args=[posted.week.label])
    return [
        ("week", f"{week}?weeks=2", office),
        ("job", reverse("job", args=[job.pk]), office),
        ("jobs", reverse("job-list"), office),
        ("readiness", reverse("readiness"), office),
        ("today", f"{reverse('today')}?day={day.date.isoformat()}", office),
        ("crew day", reverse("crew-day", args=[day.crew_id, day.date.isoformat()]), lead),
        ("checklist", reverse("checklist", args=[secret]), None),
    ]


def _measure(name: str, url: str, user: User | None, rounds: int) -> Measured:
    client = Client(SERVER_NAME="127.0.0.1")
    if user is not None:
        client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    statements: list[str] = []

    def note(execute: Callable[..., Any], sql: str, *rest: Any) -> Any:
        statements.append(sql)
        return execute(sql, *rest)

    with connection.execute_wrapper(note):
        response = client.get(url)
    if response.status_code != 200:
        raise CommandError(f"{name} at {url}: status {response.status_code}, expected 200")
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        client.get(url)
        times.append((time.perf_counter() - start) * 1000)
    own = len(gzip.compress(response.content))
    return Measured(
        name,
        (own + _files_bytes(response.content.decode())) / 1000,
        own / 1000,
        len(statements),
        statistics.median(times),
        statistics.quantiles(times, n=20)[-1],
    )


def _files_bytes(page: str) -> int:
    """Return the compressed bytes of the stylesheets and scripts that a page asks for."""
    names = set(re.findall(r'(?:href|src)="/?static/([^"]+\.(?:css|js))"', page))
    found = [finders.find(name) for name in names]
    return sum(len(gzip.compress(Path(path).read_bytes())) for path in found if path)
