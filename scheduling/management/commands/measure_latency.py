"""`manage.py measure_latency`: how long pages take while a plan is being solved, printed."""

import http.client
import json
import os
import statistics
import time
from argparse import ArgumentParser
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from contractor.models import Branch, User
from contractor.workdays import IsoWeek
from jobs.checklists.services.link import checklist_link_make
from jobs.localtime import local_date
from jobs.models import Superintendent
from scheduling.demo.load import ACTOR, company_there
from scheduling.gather.gathered import GatherError, gather
from scheduling.management.commands.measure_pages import pages_of_demo
from scheduling.management.scratch_site import scratch_copy, server_running, solver_running
from scheduling.planning.problem import problem_to_json

MOST_SECONDS, MOST_LINKS = 300, 5000
Taken = list[float]
Page = tuple[str, str, str]  # name, address, cookie


class Command(BaseCommand):
    """Prints figures; asserts nothing, since a clock is no judge in a test."""

    help = (
        "Serve a scratch copy of the demo on 127.0.0.1 and open its main pages, first with "
        "nothing else to do, then while the coming two weeks are being solved beside, and print "
        "how long each took. With --links, open that many checklist links afterwards, each with "
        "a connection of its own. Load the demo first; the copy is thrown away at the end."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--seconds", type=int, default=20, help="how long to solve (default: 20)"
        )
        parser.add_argument(
            "--links", type=int, default=0, help="how many superintendents open a link (default: 0)"
        )
        parser.add_argument(
            "--at-once", type=int, default=20, help="how many of them at the same time"
        )

    def handle(self, *, seconds: int, links: int, at_once: int, **_options: Any) -> None:
        branch = company_there()
        if branch is None:
            raise CommandError("There is no demo to measure: run manage.py demo --no-serve first.")
        _refuse("--seconds", seconds, 1, MOST_SECONDS)
        _refuse("--links", links, 0, MOST_LINKS)
        _refuse("--at-once", at_once, 1, 100)
        with scratch_copy() as folder:
            problem = _problem_write(branch, folder)
            pages = _pages()
            secrets = _links_make(branch, links)
            with server_running(folder) as port:
                self._pages_tell(port, pages, problem, seconds)
                if secrets:
                    self._links_tell(port, secrets, at_once)

    def _pages_tell(self, port: int, pages: list[Page], problem: Path, seconds: int) -> None:
        _opened(port, pages, lambda: False)  # what a first visit loads belongs to no page
        load = ", ".join(f"{figure:.1f}" for figure in os.getloadavg())
        self.stdout.write(f"{os.cpu_count()} cores, load before: {load}")
        end = time.monotonic() + seconds / 4
        quiet = _opened(port, pages, lambda: time.monotonic() < end)
        with solver_running(problem, seconds) as solver:
            busy = _opened(port, pages, lambda: solver.poll() is None)
        self._head("page")
        for name, _, _ in pages:
            self._line(f"{name}, quiet", quiet[name])
            self._line(f"{name}, solving", busy[name])
        self._line("all, solving", [took for times in busy.values() for took in times])

    def _links_tell(self, port: int, secrets: list[str], at_once: int) -> None:
        addresses = [reverse("checklist", args=[secret]) for secret in secrets]
        start = time.perf_counter()
        with ThreadPoolExecutor(at_once) as pool:
            answers = list(pool.map(lambda address: _get(port, address, ""), addresses))
        whole = time.perf_counter() - start
        self._line(f"{len(secrets)} links", [took for _, took in answers])
        errors = sum(status != 200 for status, _ in answers)
        self.stdout.write(f"errors {errors}, {len(secrets) / whole:.0f} links a second")

    def _head(self, what: str) -> None:
        self.stdout.write(f"{what:<22}{'times':>7}{'p50 ms':>9}{'p95 ms':>9}{'max ms':>9}")

    def _line(self, name: str, times: Taken) -> None:
        p50, p95 = statistics.median(times), statistics.quantiles([*times, times[-1]], n=20)[-1]
        self.stdout.write(
            f"{name:<22}{len(times):>7}{p50:>9.1f}{min(p95, max(times)):>9.1f}{max(times):>9.1f}"
        )


def _refuse(option: str, value: int, least: int, most: int) -> None:
    if not least <= value <= most:
        raise CommandError(f"{option} {value}: expected {least} to {most}.")


def _problem_write(branch: Branch, folder: Path) -> Path:
    today = local_date(branch, timezone.now())
    try:
        gathered = gather(branch=branch, first=IsoWeek.of(today).plus(1), weeks=2, today=today)
    except GatherError as error:
        raise CommandError(str(error)) from error
    problem = folder / "problem.json"
    problem.write_text(json.dumps(problem_to_json(gathered.problem)))
    return problem


def _pages() -> list[Page]:
    return [(name, url, _cookie(user)) for name, url, user in pages_of_demo()]


def _cookie(user: User | None) -> str:
    """Return the cookie of a browser in which the person is signed in."""
    if user is None:
        return ""
    client = Client()
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    name = settings.SESSION_COOKIE_NAME
    return f"{name}={client.cookies[name].value}"


def _links_make(branch: Branch, links: int) -> list[str]:
    """Make links for the superintendents of the branch, one after the other."""
    people = list(Superintendent.objects.filter(sites__branch=branch).distinct())
    now = timezone.now()
    return [
        checklist_link_make(
            superintendent=people[number % len(people)], branch=branch, actor=ACTOR, now=now
        )[1]
        for number in range(links)
    ]


def _opened(port: int, pages: list[Page], goes_on: Callable[[], bool]) -> dict[str, Taken]:
    """Open the pages one after the other, over and over, at least once; milliseconds by page."""
    times: dict[str, Taken] = {name: [] for name, _, _ in pages}
    while True:
        for name, address, cookie in pages:
            status, took = _get(port, address, cookie)
            if status != 200:
                raise CommandError(f"{name} at {address}: status {status}, expected 200")
            times[name].append(took)
        if not goes_on():
            return times


def _get(port: int, address: str, cookie: str) -> tuple[int, float]:
    """Open an address with a new connection; return its status and the milliseconds it took."""
    start = time.perf_counter()
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    connection.request("GET", address, headers={"Cookie": cookie} if cookie else {})
    response = connection.getresponse()
    response.read()
    connection.close()
    return response.status, (time.perf_counter() - start) * 1000
